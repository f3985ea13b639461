#!/usr/bin/env bash
# Instructions a question, counted by valgrind's callgrind: a figure that does not depend on how busy the machine is, so
# that a later change can be compared with it. The difference of two runs with more and fewer passes over the same
# questions takes loading and compiling out.
#
# bash tests/load/instructions.sh [explanations] [PARTS...]
#
# With `explanations` it counts what a refusal takes with all its reasons instead.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/../.."
kind=ranked
if [ "${1:-}" = explanations ]; then
    kind=explanations
    shift
fi
sizes=("$@")
if [ "${#sizes[@]}" -eq 0 ]; then
    sizes=(1000 10000)
fi
command -v valgrind >/dev/null || { apt-get update -q && apt-get install -q -y --no-install-recommends valgrind; }
cargo build --quiet --release --locked --example passes

# Instructions of a run: count ARGUMENTS OF passes...
count() {
    valgrind --tool=callgrind --callgrind-out-file=/dev/null target/release/examples/passes "$@" 2>&1 |
        sed -n 's/.*Collected : \([0-9]*\).*/\1/p'
}

if [ "$kind" = explanations ]; then
    questions=100
    echo "| parts | instructions an explanation |"
    echo "|---|---|"
    for parts in "${sizes[@]}"; do
        few="$(count explanations "$parts" "$questions" 1)"
        more="$(count explanations "$parts" "$questions" 2)"
        echo "| $parts | $(((more - few) / questions)) |"
    done
    exit
fi

questions=1000
echo "| parts | rails | options | instructions a question |"
echo "|---|---|---|---|"
for parts in "${sizes[@]}"; do
    for rails in 1 3; do
        for options in 1 5; do
            few="$(count "$parts" "$questions" "$rails" "$options" 1)"
            more="$(count "$parts" "$questions" "$rails" "$options" 2)"
            echo "| $parts | $([ "$rails" = 1 ] && echo 1 || echo 1-3) | $options | $(((more - few) / questions)) |"
        done
    done
done
