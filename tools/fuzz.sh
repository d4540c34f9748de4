#!/usr/bin/env bash
# Fuzzes every Fuzz target of the module for a while each, several at a time
# with one worker each.
#
# usage: tools/fuzz.sh TIME JOBS      e.g. tools/fuzz.sh 30s 2
#
# Minimizing is cut short: by default Go may spend most of a short run making
# inputs smaller that merely reach new code.
#
# An input that fails is written by go test under testdata/fuzz of its
# package: commit it with the mend.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."

# one LOGS TIME PACKAGE TARGET: fuzzes one target and prints one line, or the
# whole log when it fails.
one() {
	local logs=$1 time=$2 pkg=$3 target=$4
	local log=$logs/${pkg//\//_}.$target
	local start=$SECONDS verdict=ok
	if ! go test -vet=off -run='^$' -fuzz="^$target\$" -fuzztime="$time" \
		-fuzzminimizetime=100x -parallel=1 "$pkg" >"$log" 2>&1; then
		verdict=FAIL
		# Go up to 1.26 may report the end of -fuzztime itself as a failure
		# (golang/go#75804). It counts as one only when nothing else was
		# printed, no input was written, and the known inputs pass.
		if only_deadline "$log" "$target" && go test -vet=off -run="^$target\$" -count=1 "$pkg" >>"$log" 2>&1; then
			verdict=ok
		fi
	fi
	printf '%-4s %s %s, %s s: %s\n' "$verdict" "$pkg" "$target" "$((SECONDS - start))" \
		"$(grep '^fuzz: elapsed' "$log" | tail -n 1 | sed -e 's/^fuzz: elapsed: [^,]*, //' -e 's| ([0-9]*/sec)||')"
	if [ "$verdict" = FAIL ]; then
		sed 's/^/     /' "$log"
		return 1
	fi
}

# only_deadline LOG TARGET: true when the failure says nothing but that the
# time is over.
only_deadline() {
	local rest
	rest=$(grep -v -e '^fuzz: ' -e '^FAIL' -e '^exit status' -e '^[[:space:]]*$' "$1" || true)
	[[ $rest =~ ^"--- FAIL: $2 ("[0-9.]+s\)$'\n'[[:space:]]+context\ deadline\ exceeded$ ]]
}

if [ "${1:-}" = --one ]; then
	shift
	one "$@"
	exit
fi

time=$1 jobs=$2
tmp=$(mktemp -d)
trap 'rm -rf "$tmp"' EXIT

if ! go test -vet=off -list='^Fuzz' ./... >"$tmp/list" 2>&1; then
	cat "$tmp/list" >&2
	exit 1
fi
# go test prints the targets of a package, then "ok <tab> package <tab> ...".
awk -F'\t' '/^Fuzz[A-Za-z0-9_]*$/ { t[n++] = $0 }
	/^(ok|\?) / { for (i = 0; i < n; i++) print $2, t[i]; n = 0 }' "$tmp/list" >"$tmp/targets"
count=$(wc -l <"$tmp/targets")
if [ "$count" -eq 0 ]; then
	echo "fuzz: no Fuzz target in this module"
	exit 0
fi
echo "fuzz: $count targets, $time each, $jobs at a time"
# Build with the fuzzer's instrumentation once, not in each job.
start=$SECONDS
cut -d ' ' -f 1 "$tmp/targets" | uniq | while read -r pkg; do
	go test -vet=off -fuzz=. -c -o "$tmp/fuzz.test" "$pkg"
done
echo "fuzz: built in $((SECONDS - start)) s"
if ! xargs -P "$jobs" -L 1 ./tools/fuzz.sh --one "$tmp" "$time" <"$tmp/targets"; then
	echo "fuzz: some target failed; its input, if any, is under testdata/fuzz of the package" >&2
	exit 1
fi
