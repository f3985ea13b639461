#!/usr/bin/env bash
# Every figure about the speed of the ranking, one after the other, on a machine that does nothing else: `bash
# tests/load/all.sh [FOLDER]`. Prints tables that the README keeps; takes about an hour. FOLDER holds the Python
# environment of `.ci/run` (its usual place when left out).
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/../.."
python="${1:-${XDG_CACHE_HOME:-$HOME/.cache}/rungwright-ci/venv}/bin/python"
work="$(mktemp -d)"
trap 'rm -rf "$work"' EXIT
echo "machine: $(nproc) cores, $(uname -m), load $(cut -d' ' -f1-3 /proc/loadavg), $(date -u +%F)"

printf '\n== in process: the best bills, and compiling a snapshot ==\n'
cargo bench --quiet --locked --bench ranking
printf '\n== instructions a question ==\n'
bash tests/load/instructions.sh
printf '\n== others on the same questions ==\n'
cargo build --quiet --release --locked --example export
target/release/examples/export "$work" 400 100:1 1000:1 10000:1 100000:1 >/dev/null
"$python" tests/load/peers.py "$work"
printf '\n== over HTTP, beside an echo of the same answers ==\n'
bash tests/load/http_throughput.sh 4
printf '\n== the release program ==\n'
cargo build --quiet --release --locked
bash tests/load/http.sh 5
