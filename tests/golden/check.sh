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
mkdir -p "$2/old"
"$python" "$here/old_palette" "$here/kept-0.1.0.tar.gz" > "$2/old/palette.json"
(
  cd "$here/../../examples/kestrel-bay"
  "$1" swatch --load ochre=0.4 --load "bone black=0.05" --from "$2/old/palette.json" \
    --over "mount board" --on backings.csv --on "kozo 17 plain" --format json > "$2/old/swatch.json"
)
"$python" "$here/old_palette" "$here/kept-0.1.0.tar.gz" "$2/old/swatch.json"
"$python" "$here/validate" "$1" "$2"
