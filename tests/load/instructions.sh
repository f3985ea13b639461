#!/usr/bin/env bash
# Instructions a question, counted by valgrind's callgrind: a figure that does not depend on how busy the machine is, so
# that a later change can be compared with it. The difference of two runs with more and fewer passes over the same
# questions takes loading and compiling out.
#
# bash tests/load/instructions.sh [PARTS...]
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/../.."
sizes=("$@")
if [ "${#sizes[@]}" -eq 0 ]; then
    sizes=(1000 10000)
fi
command -v valgrind >/dev/null || { apt-get update -q && apt-get install -q -y --no-install-recommends valgrind; }
cargo build --quiet --release --locked --example passes
questions=1000

# Instructions of a run: count PARTS RAILS OPTIONS PASSES
count() {
    valgrind --tool=callgrind --callgrind-out-file=/dev/null target/release/examples/passes "$1" "$questions" "$2" "$3" "$4" 2>&1 |
        sed -n 's/.*Collected : \([0-9]*\).*/\1/p'
}

echo "| parts | rails | options | instructions a question |"
echo "|---|---|---|---|"
for parts in "${sizes[@]}"; do
    for rails in 1 3; do
        for options in 1 5; do
            few="$(count "$parts" "$rails" "$options" 1)"
            more="$(count "$parts" "$rails" "$options" 2)"
            echo "| $parts | $([ "$rails" = 1 ] && echo 1 || echo 1-3) | $options | $(((more - few) / questions)) |"
        done
    done
done
