#!/usr/bin/env bash
# Answers a second over HTTP, the server on one core and the client (wrk) on the other, beside a JSON echo of the very same
# questions and answers: the bare route and the route inside all layers, with refusals explained and without their
# reasons. Traffic stays on 127.0.0.1 and is bounded.
#
# bash tests/load/http_throughput.sh [SECONDS] [PARTS...]
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/../.."
seconds="${1:-4}"
shift || true
sizes=("$@")
if [ "${#sizes[@]}" -eq 0 ]; then
    sizes=(1000 10000 100000)
fi
command -v wrk >/dev/null || { apt-get update -q && apt-get install -q -y --no-install-recommends wrk; }
# The newest program of that name is the one just built.
cargo bench --quiet --locked --no-run --bench http_throughput
program="$(ls -t target/release/deps/http_throughput-* | grep -v '\.d$' | head -n 1)"
work="$(mktemp -d)"
server=""
stop() {
    if [ -n "$server" ]; then
        kill -TERM "$server" 2>/dev/null || true
        wait "$server" 2>/dev/null || true
        server=""
    fi
}
trap 'stop; rm -rf "$work"' EXIT
cat >"$work/ask.lua" <<'LUA'
local bodies, number = {}, 0
local headers = {["content-type"] = "application/json", ["authorization"] = "Bearer " .. os.getenv("KEY")}
for line in io.lines(os.getenv("QUESTIONS")) do bodies[#bodies + 1] = line end
function request()
    number = number % #bodies + 1
    headers["x-number"] = number - 1
    return wrk.format("POST", "/v1/resolutions", headers, bodies[number])
end
LUA

# Answers a second of one kind of server: rate PARTS MIX KIND
rate() {
    rm -f "$work/address"
    taskset -c 0 "$program" "$1" "$2" "$3" "$work" >"$work/log" 2>&1 &
    server=$!
    for _ in $(seq 3000); do
        if [ -s "$work/address" ]; then break; fi
        kill -0 "$server" || { cat "$work/log" >&2; return 1; }
        sleep 0.2
    done
    export QUESTIONS="$work/questions" KEY="$(cat "$work/key")"
    local url
    url="http://$(cat "$work/address")"
    taskset -c 1 wrk -t1 -c32 -d1s -s "$work/ask.lua" "$url" >/dev/null
    taskset -c 1 wrk -t1 -c32 -d"${seconds}s" -s "$work/ask.lua" "$url" >"$work/out"
    stop
    if grep -q 'Non-2xx' "$work/out"; then
        cat "$work/out" >&2
        return 1
    fi
    awk '/Requests\/sec/ {print $2}' "$work/out"
}

echo "| parts | mix | echo, a second | bare route | all layers | bare / echo | layers / bare |"
echo "|---|---|---|---|---|---|---|"
for parts in "${sizes[@]}"; do
    for mix in one-brief all-brief one all; do
        echo_rate="$(rate "$parts" "$mix" echo)"
        bare="$(rate "$parts" "$mix" bare)"
        full="$(rate "$parts" "$mix" full)"
        awk -v p="$parts" -v m="$mix" -v e="$echo_rate" -v b="$bare" -v f="$full" \
            'BEGIN {printf "| %s | %s | %.0f | %.0f | %.0f | %.2f | %.2f |\n", p, m, e, b, f, b / e, f / b}'
    done
done
