#!/bin/sh
# consumer.sh CMAKE BUILD CONSUMER SCRATCH COMPILER: installs BUILD into SCRATCH and builds CONSUMER
# against it with find_package, as an outsider would.
set -eu
cmake=$1 build=$2 consumer=$3 scratch=$4 compiler=$5
rm -rf "$scratch/installed" "$scratch/consumer"
"$cmake" --install "$build" --prefix "$scratch/installed" > /dev/null
"$cmake" -S "$consumer" -B "$scratch/consumer" -DCMAKE_CXX_COMPILER="$compiler" \
  -DCMAKE_PREFIX_PATH="$scratch/installed" > /dev/null
"$cmake" --build "$scratch/consumer" > /dev/null
"$scratch/consumer/consumer" "$consumer/../../examples/kestrel-bay/backings.csv"

# It finds the helper for pictures where the package has it; and beside itself, wherever that is put.
here=$(cd "$scratch" && pwd)
used=$("$scratch/consumer/consumer" picture "$scratch/mask.png")
[ "$used" = "$here/installed/libexec/mendtone/mendtone-pictures" ] ||
  { echo "the consumer used '$used'"; exit 1; }
rm -rf "$scratch/moved"
cp -r "$scratch/installed" "$scratch/moved"
cp "$scratch/consumer/consumer" "$scratch/moved/bin/"
used=$("$scratch/moved/bin/consumer" picture "$scratch/mask.png")
[ "$used" = "$here/moved/libexec/mendtone/mendtone-pictures" ] ||
  { echo "the moved program used '$used'"; exit 1; }

# Neither program is linked with the libraries of pictures; the helper is.
sh "$(dirname "$0")/no_picture_libraries.sh" "$scratch/installed/bin/mendtone" \
  "$scratch/installed/libexec/mendtone/mendtone-pictures"
sh "$(dirname "$0")/no_picture_libraries.sh" "$scratch/consumer/consumer" \
  "$scratch/installed/libexec/mendtone/mendtone-pictures"
"$scratch/consumer/ranking"
# Ranking starts with no library of pictures. (Those of pages and colour profiles come along where the
# sources of a folder were compiled as one.)
if ldd "$scratch/consumer/ranking" | grep -E 'OpenImageIO|opencv'; then
  echo "ranking in memory pulls in the libraries above" >&2
  exit 1
fi
