#!/usr/bin/env bash
# Sees that HAProxy is there: installs Debian's package when this user may, and
# says what to install when not.
#
# usage: tools/ops/haproxy.sh
set -euo pipefail

if ! command -v haproxy >/dev/null; then
	if [ "$(id -u)" != 0 ] || ! command -v apt-get >/dev/null; then
		echo "haproxy is missing: install it (Debian: apt-get install haproxy)" >&2
		exit 1
	fi
	install() { DEBIAN_FRONTEND=noninteractive apt-get install -qq --yes --no-install-recommends haproxy >/dev/null; }
	install || { apt-get update -qq && install; }
fi
haproxy -v | head -n 1
