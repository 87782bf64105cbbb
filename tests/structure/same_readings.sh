#!/bin/sh
# The committed readings of the example are exactly what its program makes.
set -eu
rm -rf "$3"
mkdir -p "$3"
"$1" readings "$3"
for file in "$3"/*; do
  cmp "$file" "$2/$(basename "$file")"
done
