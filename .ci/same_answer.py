"""Resolves each request file on the command line and over HTTP, and demands the same answer twice.

Arguments: the program, the address of a running service with the demonstration catalogue, request files.
"""

import json
import subprocess
import sys
import urllib.request

program, address, *files = sys.argv[1:]
for name in files:
    with open(name, "rb") as file:
        request = urllib.request.Request(
            f"http://{address}/v1/resolutions", file.read(), {"content-type": "application/json"}
        )
    over_http = json.load(urllib.request.urlopen(request))
    printed = subprocess.run([program, "resolve", "--json", name], capture_output=True, check=True)
    on_command_line = json.loads(printed.stdout)
    if over_http != on_command_line:
        sys.exit(f"{name}: the command line and the service answer differently")
    totals = [option["total"]["gross"] for option in over_http.get("options", [])]
    print(f"{name}: {over_http['outcome']}, {len(totals)} options, gross {', '.join(totals)}")
if not files:
    sys.exit("no request file was given")
