#!/usr/bin/env bash
# Generates api/ from proto/, and whatever the go:generate lines write.
#
# usage: tools/generate.sh BUF
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."
tools/protodeps.sh
"$1" generate
(cd tools && go run ./openapi ../bin/openapi/ozeq/service/v1 ../api)
go generate ./...
