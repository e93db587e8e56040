#!/bin/sh
# A study as an array job of Slurm: sbatch --array=1-8 examples/study/array.sh
# Each task runs one part; when all have ended: mateline study merge study/part-*.jsonl
#SBATCH --job-name=study
#SBATCH --cpus-per-task=1
#SBATCH --time=01:00:00
set -eu
: "${MATELINE:=mateline}" "${STUDY:=examples/study/study.yaml}" "${OUT:=study}"
exec env RAYON_NUM_THREADS="${SLURM_CPUS_PER_TASK:-1}" \
    "$MATELINE" study "$STUDY" --out "$OUT" --shard "$SLURM_ARRAY_TASK_ID/$SLURM_ARRAY_TASK_COUNT"
