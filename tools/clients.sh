#!/usr/bin/env bash
# Lints the OpenAPI document, then starts the service on free ports and runs a
# TypeScript client over HTTP, of types generated from the document it serves,
# and a client over gRPC.
#
# usage: tools/clients.sh
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."
clients=tools/npm/clients
bin=$clients/node_modules/.bin
export REDOCLY_TELEMETRY=off REDOCLY_SUPPRESS_UPDATE_NOTICE=true

tmp=$(mktemp -d)
server=
finish() {
	if [ -n "$server" ] && kill "$server" 2>/dev/null; then wait "$server" || true; fi
	rm -rf "$tmp"
}
trap finish EXIT

# quiet COMMAND...: shows what a command prints only when it fails.
quiet() {
	if ! "$@" >"$tmp/log" 2>&1; then
		cat "$tmp/log" >&2
		exit 1
	fi
}

echo "-- lint of api/openapi.json"
quiet "$bin/redocly" lint --config $clients/redocly.yaml --lint-config=error api/openapi.json

bin/ozeq serve --http-address 127.0.0.1:0 --grpc-address 127.0.0.1:0 --metrics-address off 2>"$tmp/serve.log" &
server=$!
for _ in $(seq 100); do
	if grep -q '"msg":"serving"' "$tmp/serve.log" || ! kill -0 "$server" 2>/dev/null; then break; fi
	sleep 0.1
done
# door NAME: where the service says it listens.
door() {
	sed -n 's/.*"msg":"serving".*"'"$1"'":"\([^"]*\)".*/\1/p' "$tmp/serve.log"
}
http=$(door http) grpc=$(door grpc)
if [ -z "$http" ] || [ -z "$grpc" ]; then
	echo "the service did not start:" >&2
	cat "$tmp/serve.log" >&2
	exit 1
fi

echo "-- TypeScript over HTTP"
rm -rf $clients/out
quiet "$bin/openapi-typescript" "http://$http/openapi.json" --output $clients/out/openapi.d.ts
"$bin/tsc" --project $clients
node $clients/out/http.js "http://$http"

echo "-- JavaScript over gRPC"
tools/protodeps.sh
node $clients/grpc.js "$grpc" api/openapi.json proto .protodeps

if ! kill "$server" || ! wait "$server"; then
	echo "the service did not stop as it should:" >&2
	cat "$tmp/serve.log" >&2
	exit 1
fi
server=
