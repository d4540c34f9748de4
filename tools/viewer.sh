#!/usr/bin/env bash
# Copies the viewer of the OpenAPI document out of its npm package to where the
# service embeds it, or fails when a copy is not what the package has.
#
# usage: tools/viewer.sh [--check]
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."
package=tools/npm/node_modules/swagger-ui-dist
folder=pkg/server/viewer/files

while read -r from to; do
	if [ "${1:-}" != --check ]; then
		install -m 644 "$package/$from" "$folder/$to"
	elif ! cmp "$package/$from" "$folder/$to"; then
		echo "the viewer is not that of the npm package: run 'make viewer' and commit the result" >&2
		exit 1
	fi
done <<'END'
swagger-ui-bundle.js viewer.js
swagger-ui-bundle.js.LICENSE.txt swagger-ui-bundle.js.LICENSE.txt
swagger-ui.css viewer.css
LICENSE LICENSE
NOTICE NOTICE
END
