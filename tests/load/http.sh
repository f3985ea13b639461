#!/usr/bin/env bash
# Measures the release program on this machine: time from start to ready, and the time of POST /v1/resolutions for the
# family bathroom over kept connections. Traffic stays on 127.0.0.1 and is bounded: two runs of a few seconds.
#
# cargo build --release && bash tests/load/http.sh [SECONDS]
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/../.."
seconds="${1:-10}"
program=target/release/rungwright
work="$(mktemp -d)"
server=""
trap 'if [ -n "$server" ]; then kill -TERM "$server" 2>/dev/null || true; wait "$server" 2>/dev/null || true; fi; rm -rf "$work"' EXIT

# From the start of the process to the first "ready": start NAME sets $server, $address and prints milliseconds.
start() {
    local began ended
    began="$(date +%s%N)"
    "$program" serve --demo --database "$work/load.sqlite" --listen 127.0.0.1:0 >"$work/out" 2>"$work/log" &
    server=$!
    address=""
    for _ in $(seq 1000); do
        address="$(sed -n 's|.*answers on http://\([^ ]*\).*|\1|p' "$work/out")"
        if [ -n "$address" ] && "$program" healthcheck --address "$address" 2>/dev/null; then
            break
        fi
        sleep 0.005
    done
    ended="$(date +%s%N)"
    "$program" healthcheck --address "$address"
    echo "$1: ready after $(((ended - began) / 1000000)) ms"
}

start "empty database, the demonstration catalogue is loaded into it"
kill -TERM "$server"
wait "$server"
start "the same database again"

python3 - "$address" "$seconds" <<'PYTHON'
import http.client
import sys
import threading
import time

address, seconds = sys.argv[1], float(sys.argv[2])
body = open("tests/fixtures/requests/family-bathroom.json", "rb").read()
headers = {"content-type": "application/json"}


def ask(until, times):
    connection = http.client.HTTPConnection(address, timeout=10)
    while time.monotonic() < until:
        began = time.perf_counter()
        connection.request("POST", "/v1/resolutions", body, headers)
        answer = connection.getresponse()
        size = len(answer.read())
        times.append((time.perf_counter() - began) * 1000)
        if answer.status != 200 or size < 1000:
            sys.exit(f"status {answer.status}, {size} bytes")


for clients in (1, 2):
    ask(time.monotonic() + 1, [])
    times = []
    until = time.monotonic() + seconds
    threads = [threading.Thread(target=ask, args=(until, times)) for _ in range(clients)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    times.sort()
    if len(times) < 100:
        sys.exit(f"only {len(times)} answers")
    at = lambda share: times[min(int(len(times) * share), len(times) - 1)]
    print(
        f"{clients} client(s): {len(times)} answers, {len(times) / seconds:.0f} a second, "
        f"p50 {at(0.5):.2f} ms, p99 {at(0.99):.2f} ms, longest {times[-1]:.2f} ms"
    )
PYTHON
echo "machine: $(nproc) cores, $(uname -m), load before and during: $(cut -d' ' -f1-3 /proc/loadavg)"
