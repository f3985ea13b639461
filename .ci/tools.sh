# Sourced by .ci/run and .ci/nightly: sections with their times, tools a bare machine lacks, servers that are ended.
# Only public package registries are needed. Tools are kept in a cache folder, so a second run finds them there.

tools="${XDG_CACHE_HOME:-$HOME/.cache}/rungwright-ci"
venv="$tools/venv"
work="$(mktemp -d)"
servers=()
times=()
section_name=""
section_began=0
export CARGO_TERM_COLOR=never CARGO_INCREMENTAL=0
export PATH="$tools/cargo/bin:$PATH"

# Ends the section before and begins another.
section() {
    local now
    now="$(date +%s)"
    if [ -n "$section_name" ]; then
        times+=("$(printf '%6d s  %s' "$((now - section_began))" "$section_name")")
    fi
    section_name="$1"
    section_began="$now"
    if [ -n "$1" ]; then
        printf '\n=== %s ===\n' "$1"
    fi
}

finish() {
    local code=$? pid failed="$section_name"
    for pid in "${servers[@]}"; do
        kill -TERM "$pid" 2>/dev/null || true
        wait "$pid" 2>/dev/null || true
    done
    section ""
    rm -rf "$work"
    printf '\n=== times ===\n'
    printf '%s\n' "${times[@]}"
    if [ "$code" -ne 0 ]; then
        printf 'FAILED in: %s (exit code %s)\n' "$failed" "$code"
    fi
    summary "$code"
    exit "$code"
}

# The closing line: how many tests the test runner ran.
summary() {
    local passed=0 failed=0
    if [ -f "$tools/last-tests.log" ]; then
        passed="$(sed -n 's/^test result: .* \([0-9]*\) passed.*/\1/p' "$tools/last-tests.log" | awk '{n += $1} END {print n + 0}')"
        failed="$(sed -n 's/^test result: .* \([0-9]*\) failed.*/\1/p' "$tools/last-tests.log" | awk '{n += $1} END {print n + 0}')"
    fi
    if [ "$1" -ne 0 ] && [ "$failed" -eq 0 ]; then
        failed=1
    fi
    printf '%s passed, %s failed\n' "$passed" "$failed"
}

# Debian packages, asked for only when a command is missing: need COMMAND PACKAGE
need() {
    if ! command -v "$1" >/dev/null; then
        apt-get update -q && apt-get install -q -y --no-install-recommends "$2"
    fi
}

# A Cargo tool at one version, built without optimisation to save minutes: cargo_tool NAME VERSION
cargo_tool() {
    if [ "$("$1" --version 2>/dev/null | awk '{print $NF}')" != "$2" ]; then
        CARGO_TARGET_DIR="$tools/build" cargo install --quiet --locked --debug --force --root "$tools/cargo" "$1@$2"
    fi
    printf '%s %s\n' "$1" "$2"
}

# Python packages of .ci/requirements.txt and of the oracles.
python_tools() {
    need python3 python3
    if ! python3 -c 'import ensurepip, venv' 2>/dev/null; then
        apt-get update -q && apt-get install -q -y --no-install-recommends python3-venv
    fi
    if ! [ -x "$venv/bin/python" ]; then
        python3 -m venv "$venv"
    fi
    local list
    for list in .ci/requirements.txt tests/oracles/requirements.txt; do
        if [ -f "$list" ]; then
            "$venv/bin/pip" install --quiet --disable-pip-version-check -r "$list"
        fi
    done
}

# Starts the program with the demonstration catalogue in a new database; sets $address and $key. start_server NAME
start_server() {
    : >"$work/$1.out" # the reader below may be quicker than the program
    target/debug/rungwright serve --demo --database "$work/$1.sqlite" --listen 127.0.0.1:0 \
        >"$work/$1.out" 2>"$work/$1.log" &
    servers+=("$!")
    address=""
    for _ in $(seq 100); do
        address="$(sed -n 's|.*answers on http://\([^ ]*\).*|\1|p' "$work/$1.out")"
        if [ -n "$address" ] && target/debug/rungwright healthcheck --address "$address" 2>/dev/null; then
            key="$(sed -n '/^rwkey_/p' "$work/$1.out")"
            return 0
        fi
        sleep 0.2
    done
    cat "$work/$1.log"
    echo "the server $1 was not ready within 20 s"
    return 1
}

# Asks the running service, and checks that it still lives and logged no failure: server_is_well NAME
server_is_well() {
    target/debug/rungwright healthcheck --address "$address"
    if grep -n 'panicked\|ERROR' "$work/$1.log"; then
        echo "the server $1 logged failures"
        return 1
    fi
}

# Requests made from the description, valid and invalid ones: schemathesis_run NAME OPTIONS...
# They come as if through a proxy, so that reading is not open to them. One check is left out: it repeats each good request
# without its key, hundreds a minute, which is more than an address may; a test walks all operations without one instead.
schemathesis_run() {
    local name="$1" kind
    shift
    cp .ci/schemathesis.toml "$work/schemathesis.toml"
    for kind in bodies elements controls accessories; do
        "$venv/bin/python" -c 'import json, sys, urllib.request
parts = json.load(urllib.request.urlopen(sys.argv[1]))["items"]
print("\n".join(json.dumps(part["sku"]) for part in parts[::10]))' "http://$address/v1/$kind?limit=200" >"$work/$kind.txt"
        printf '\n[dictionaries.%s]\nfrom-file = "%s"\n' "$kind" "$work/$kind.txt" >>"$work/schemathesis.toml"
    done
    (
        cd "$work"
        export SCHEMATHESIS_HOOKS="$top/.ci/schemathesis_hooks.py"
        "$venv/bin/st" --config-file schemathesis.toml run "$top/openapi/v1.json" --url "http://$address" \
            --header "Authorization: Bearer $key" --header "Via: 1.1 made-up" --checks all --exclude-checks ignored_auth \
            --mode all --suppress-health-check all --no-color "$@"
    )
    server_is_well "$name"
}

# Our ranking against two solvers, on made-up catalogues of 100 to 1,000 parts with fixed seeds; first that a falsified
# answer is found. The exporting program is one of the examples that `cargo test` builds.
solvers_check() {
    local export="target/debug/examples/export"
    cargo build --quiet --locked --example export
    "$export" "$work/solvers" 24 110:3 120:4 130:5 140:6 150:7 160:8 180:9 200:10 220:11 200:26 220:22
    "$export" "$work/solvers" 16 300:12 300:13 300:30 400:14
    "$export" "$work/solvers" 7 700:15 1000:16 1000:17
    "$export" "$work/falsified" 24 150:18
    "$venv/bin/python" tests/oracles/solvers_check.py --self-test "$work/falsified"
    "$venv/bin/python" tests/oracles/solvers_check.py "$work/solvers"
}
