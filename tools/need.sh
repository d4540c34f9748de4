#!/usr/bin/env bash
# Sees that a command is there: installs Debian's package that has it when this
# user may, and says what to install when not.
#
# usage: tools/need.sh COMMAND PACKAGE...
set -euo pipefail

command=$1
shift
if command -v "$command" >/dev/null; then exit 0; fi
if [ "$(id -u)" != 0 ] || ! command -v apt-get >/dev/null; then
	echo "$command is missing: install it (Debian: apt-get install $*)" >&2
	exit 1
fi
echo "installing $*"
install() { DEBIAN_FRONTEND=noninteractive apt-get install -qq --yes --no-install-recommends "$@" >/dev/null; }
install "$@" || { apt-get update -qq && install "$@"; }
command -v "$command" >/dev/null
