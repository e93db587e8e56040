#!/bin/sh
# A study with GNU parallel, a part for each of N jobs (8 where not said): sh examples/study/parallel.sh 4
set -eu
: "${MATELINE:=mateline}" "${STUDY:=examples/study/study.yaml}" "${OUT:=study}"
n=${1:-8}
seq "$n" | parallel --halt now,fail=1 RAYON_NUM_THREADS=1 "$MATELINE" study "$STUDY" --out "$OUT" --shard "{}/$n"
exec "$MATELINE" study merge "$OUT"/part-*-of-"$n".jsonl --out "$OUT"
