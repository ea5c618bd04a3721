#!/usr/bin/env bash
# Makes the tables of this folder anew with the pinned reference libraries and compares them with the
# committed ones, so that a table cannot drift. With --write it writes them instead.
#
# Without python3, or where the libraries cannot be had (offline), it says so and passes; where the
# variable CI is set it fails instead, since there nobody would read the message.
set -euo pipefail
cd "$(dirname "$0")"
root=$(cd ../.. && pwd)

skip() {
    echo "tests/reference: not checked: $1" >&2
    if [ -n "${CI:-}" ]; then exit 1; fi
    exit 0
}

command -v python3 >/dev/null || skip "python3 is not installed"
# One environment for each state of the requirements: made once, used until they change.
venv="${CARGO_TARGET_DIR:-$root/target}/reference-venv-$(cksum <requirements.txt | cut -d' ' -f1)"
if [ ! -e "$venv/complete" ]; then
    rm -rf "$venv"
    python3 -m venv "$venv" || skip "python3 has no venv module"
    "$venv/bin/python" -m pip install --quiet --disable-pip-version-check -r requirements.txt \
        || skip "the libraries of requirements.txt cannot be installed (offline?)"
    touch "$venv/complete"
fi

fresh=$(mktemp -d)
trap 'rm -rf "$fresh"' EXIT
status=0
for script in *.py; do
    table=${script%.py}.csv
    # What several scripts share prints no table.
    [ "$script" = gases.py ] && continue
    PYTHONDONTWRITEBYTECODE=1 "$venv/bin/python" "$script" >"$fresh/$table"
    if [ "${1:-}" = --write ]; then
        cp "$fresh/$table" "$table"
    elif ! diff -u "$table" "$fresh/$table"; then
        echo "tests/reference/$table is not what $script makes; see tests/reference/check.sh --write" >&2
        status=1
    fi
done
[ "$status" -eq 0 ] && echo "tests/reference: every table is what its script makes"
exit "$status"
