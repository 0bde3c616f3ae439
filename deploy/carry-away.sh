#!/bin/sh
# Carries the folder of backups to the place that RESTIC_REPOSITORY names: S3 and its like, or over SSH.
# Keeps there what is kept here. Does nothing where no place is named.
set -eu
[ -n "${RESTIC_REPOSITORY:-}" ] || exit 0
restic --quiet cat config >/dev/null 2>&1 || restic --quiet init
restic --quiet backup "${BENCHRULE_BACKUPS:?names the folder of backups}"
restic --quiet forget --keep-daily 7 --keep-weekly 5 --keep-monthly 12 --keep-yearly 10 --prune
restic --quiet check
