#!/usr/bin/env bash
# Puts .proto files of others under .protodeps, which git ignores: the HTTP and
# field annotations ours import, and the status and its details that a gRPC
# client reads a refusal from. They come from Go modules that carry them, pinned
# here, and none is copied into the project.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."

# take MODULE FOLDER FILE...: puts files of the module's folder of google's
# .proto files.
take() {
	local module=$1 folder=$2 dir file
	shift 2
	dir=$(cd tools && go mod download -json "$module" | sed -n 's/^\t"Dir": "\(.*\)",$/\1/p')
	for file; do
		mkdir -p ".protodeps/google/$(dirname "$file")"
		cp "$dir/$folder/$file.proto" ".protodeps/google/$file.proto"
	done
}

rm -rf .protodeps
take github.com/go-kratos/kratos/v2@v2.8.3 third_party/google \
	api/annotations api/http api/field_behavior
take github.com/gogo/googleapis@v1.4.1 google \
	rpc/status rpc/error_details
