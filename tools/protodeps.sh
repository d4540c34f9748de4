#!/usr/bin/env bash
# Puts the .proto files ours import, the HTTP and field annotations, under
# .protodeps, which git ignores: they come from a Go module that carries them,
# pinned here, and none is copied into the project.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."
module=github.com/go-kratos/kratos/v2@v2.8.3

dir=$(cd tools && go mod download -json "$module" | sed -n 's/^\t"Dir": "\(.*\)",$/\1/p')
rm -rf .protodeps
mkdir -p .protodeps/google/api
for file in annotations http field_behavior; do
	cp "$dir/third_party/google/api/$file.proto" .protodeps/google/api/
done
