#!/bin/sh
# The example's whole job comes to its report.   job.sh PROGRAM PROGRAMS-THAT-INVENT FOLDER
set -eu
program=$1
invent=$2
out=$3
sh "$(dirname "$0")/../../examples/job" "$program" "$invent" "$out" > "$out.log" 2>&1 || {
  tail -n 20 "$out.log" >&2
  exit 1
}
for file in report.html report.pdf report.json report.csv; do
  [ -s "$out/report/$file" ] || { echo "no report/$file" >&2; exit 1; }
done
