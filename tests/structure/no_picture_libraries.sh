#!/bin/sh
# no_picture_libraries.sh PROGRAM HELPER: PROGRAM loads neither OpenImageIO nor OpenCV, HELPER both.
set -eu
libraries='libOpenImageIO|libopencv'
if found=$(ldd "$1" | grep -E "$libraries"); then
  echo "$1 loads: $found"
  exit 1
fi
for library in libOpenImageIO libopencv_imgproc; do
  ldd "$2" | grep -q "$library" || { echo "$2 does not load $library: is it the helper?"; exit 1; }
done
echo "$(ldd "$1" | wc -l) libraries in the program, $(ldd "$2" | wc -l) in the helper"
