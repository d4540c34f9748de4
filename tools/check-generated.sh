#!/usr/bin/env bash
# Fails when a generated file is not what its source gives: api/ from proto/,
# and whatever the go:generate lines write. It generates in a copy of the
# tree, so it changes nothing and needs no commit to compare with.
#
# usage: tools/check-generated.sh BUF
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."
buf=$(realpath "$1")

tmp=$(mktemp -d)
trap 'rm -rf "$tmp"' EXIT
mkdir "$tmp/have"
# Tracked and new files, without ignored ones and without those deleted.
git ls-files -z --cached --others --exclude-standard |
	while IFS= read -r -d '' file; do
		if [ -e "$file" ]; then printf '%s\0' "$file"; fi
	done >"$tmp/files"
tar --null --files-from="$tmp/files" -cf - | tar -xf - -C "$tmp/have"
cp -a "$tmp/have" "$tmp/want"

(
	cd "$tmp/want"
	tools/generate.sh "$buf"
	rm -rf .protodeps bin
)
if ! diff -ru "$tmp/have" "$tmp/want" >"$tmp/diff"; then
	head -n 60 "$tmp/diff" | cut -c 1-200
	echo "generated files are not current: run 'make generate' and commit the result" >&2
	exit 1
fi
echo "generated files are current"
