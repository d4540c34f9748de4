#!/usr/bin/env bash
# Gives the module another path, generates what holds it again, and builds.
#
# usage: tools/rename-module.sh BUF MODULE
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."
buf=$1 to=$2
contract=testdata/proto/contract.binpb

from=$(go list -m)
if [ "$to" = "$from" ]; then
	echo "the module is $to already"
	exit 0
fi
# A host and a name are asked for: a bare word would also be replaced where it
# is only a word, at the next renaming.
if ! [[ $to =~ ^[a-z0-9-]+(\.[a-z0-9-]+)+(/[A-Za-z0-9._~-]+)+$ ]]; then
	echo "'$to' is no module path of the form your.host/name" >&2
	exit 2
fi
tmp=$(mktemp -d)
trap 'rm -rf "$tmp"' EXIT
# Refuses what is no module path before anything is changed.
cp go.mod "$tmp/go.mod"
go mod edit -module="$to" "$tmp/go.mod"

tools/protodeps.sh
# The contract keeps its messages; only go_package in it gets the new path.
"$buf" build "$contract" -o "$tmp/contract.json"

go -C tools build -o "$tmp/rename" ./rename
"$tmp/rename" -root . -from "$from" -to "$to"
"$tmp/rename" -root "$tmp" -from "$from" -to "$to" >/dev/null
"$buf" build "$tmp/contract.json" -o "$contract"

tools/generate.sh "$buf"
"$buf" lint
"$buf" breaking proto --against "$contract"
go build ./...
echo "the module is $to now: run 'make test' and commit"
