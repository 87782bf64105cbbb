#!/bin/sh
# The check must see a wrong arrow: a tree with one is made, and has to be refused.
set -eu
tree=$(mktemp -d)
trap 'rm -rf "$tree"' EXIT
mkdir -p "$tree/include/mendtone/base" "$tree/src/colour"
echo '#include "mendtone/colour/lab.hpp"' > "$tree/include/mendtone/base/wrong.hpp"
if sh "$1/include_direction.sh" "$tree"; then
  echo "a wrong arrow went unseen"
  exit 1
fi

echo '#pragma once' > "$tree/include/mendtone/base/wrong.hpp"
echo 'auto json = Json::parse(text);' > "$tree/src/colour/parser.cpp"
if sh "$1/include_direction.sh" "$tree"; then
  echo "a JSON parser beside the gate went unseen"
  exit 1
fi

rm "$tree/src/colour/parser.cpp"
mkdir "$tree/src/app"
echo '#include <OpenImageIO/imageio.h>' > "$tree/src/app/reader.cpp"
if sh "$1/include_direction.sh" "$tree"; then
  echo "a library of pictures outside of its helper went unseen"
  exit 1
fi
