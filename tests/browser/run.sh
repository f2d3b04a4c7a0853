#!/usr/bin/env bash
# Drives the pages in a headless Chromium: tests/browser/run.sh PATH-OF-THE-BINARY [FOLDER-FOR-PICTURES]
# On Debian, and as root there, it installs Chromium where it is missing. Node and npm must be there.
set -euo pipefail
here=$(cd "$(dirname "$0")" && pwd)
binary=$(realpath "${1:?the path of the binary}")
pictures=${2:-}
[ -z "$pictures" ] || { mkdir -p "$pictures"; pictures=$(realpath "$pictures"); }

if ! command -v chromium >/dev/null; then
    apt-get update
    apt-get install -y --no-install-recommends chromium
fi

# Packages go into a copy: the repository stays as it is.
copy=$(mktemp -d)
trap 'rm -rf "$copy"' EXIT
cp "$here"/package*.json "$here"/*.mjs "$copy"
cd "$copy"
npm ci --no-audit --no-fund --ignore-scripts --loglevel=error

for test in serve report; do
    [ -e "$test.mjs" ] || continue
    printf '\n== %s\n' "$test"
    node "$test.mjs" "$binary" "$pictures"
done
