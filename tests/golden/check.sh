#!/bin/sh
# The answers that are soon computed, as they were in version 0.1.0, and by their schemas.
#   sh tests/golden/check.sh PROGRAM FOLDER
set -eu
here=$(dirname "$0")
# Debian has the validator for its own Python.
python=/usr/bin/python3
[ -x "$python" ] || python=python3
rm -rf "$2"
sh "$here/run" "$1" "$2"
"$python" "$here/compare" "$here/kept-0.1.0.tar.gz" "$2" \
  tone tone-lights difference tissue-tear film-colorant film
"$python" "$here/validate" "$1" "$2"
