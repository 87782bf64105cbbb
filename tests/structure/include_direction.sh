#!/bin/sh
# Reads every #include below include/ and src/ of the tree $1 and fails on an arrow that DESIGN's
# list does not allow: a room may use only itself and the rooms before it; the two doors (cli,
# bench) never each other. Public headers name nothing but the standard library and mendtone.
set -u
cd "$1" || exit 2
rooms="base spectral colour optics materials match imaging formats results report record adapters app cli bench"
faults=0

rank() {
  i=0
  for r in $rooms; do
    i=$((i + 1))
    [ "$r" = "$1" ] && { echo $i; return; }
  done
  echo 0
}

fault() { echo "$1"; faults=$((faults + 1)); }

for room in $rooms; do
  own=$(rank "$room")
  for folder in "include/mendtone/$room" "src/$room"; do
    [ -d "$folder" ] || continue
    uses=$(grep -rhoE --include='*.hpp' --include='*.cpp' '#include [<"](mendtone/)?[a-z]+/[^">]*' "$folder" |
      sed -E 's/#include [<"](mendtone\/)?//; s/\/.*//' | sort -u)
    for used in $uses; do
      other=$(rank "$used")
      [ "$other" -eq 0 ] && continue
      if [ "$other" -gt "$own" ]; then fault "$folder uses $used, which comes after it"; fi
      if [ "$room" = bench ] && [ "$used" = cli ]; then fault "bench uses cli"; fi
    done
  done
done

foreign=$(grep -rnE --include='*.hpp' '#include ' include | grep -vE '#include ("mendtone/|<[a-z_]+>)')
[ -n "$foreign" ] && fault "third party in a public header: $foreign"

# The libraries of pictures are known to the helper alone, which knows no room: only what it and the
# program say to each other.
found=$(grep -rlE --include='*.hpp' --include='*.cpp' '#include <(OpenImageIO|opencv2)/' include src |
  grep -v '^src/pictures/')
[ -n "$found" ] && fault "a library of pictures outside of src/pictures: $found"
found=$(grep -rnE --include='*.hpp' --include='*.cpp' '#include "' src/pictures 2>/dev/null |
  grep -vE '#include "(pictures/|adapters/picture_protocol\.hpp")')
[ -n "$found" ] && fault "src/pictures uses a room: $found"

# Nothing above adapters opens a file, a socket or a database, or reads clock, locale or random.
for room in base spectral colour optics materials match imaging formats results report record; do
  found=$(grep -rnE --include='*.hpp' --include='*.cpp' \
    '#include <(fstream|filesystem|chrono|ctime|time\.h|random|locale|fcntl\.h|unistd\.h|sys/.*|sqlite3\.h|lcms2\.h|OpenImageIO/.*)>' \
    "include/mendtone/$room" "src/$room" 2>/dev/null)
  [ -n "$found" ] && fault "the core reaches outside: $found"
done

# JSON comes in through one gate.
parsers=$(grep -rnE --include='*.hpp' --include='*.cpp' '[Jj]son::(parse|accept|sax_parse)|[Jj]son::from_' src include |
  grep -v '^src/formats/json_gate.cpp:')
[ -n "$parsers" ] && fault "JSON is parsed beside the gate: $parsers"

echo "$faults arrows or headers at fault"
[ "$faults" -eq 0 ]
