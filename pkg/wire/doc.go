// Package wire stands between the contract and the library: it reads requests
// from JSON, YAML and protobuf messages, and writes records and faults as the
// contract's messages.
//
// Reading is strict and bounded. A request is at most [MaxRequest] bytes of
// valid UTF-8, nested at most [MaxDepth] deep, each field once, no field the
// contract does not have, text where text is meant. Every fault of a request
// comes back at once, those of its shape together with those of its content,
// each with its JSON path. YAML is taken as JSON with other punctuation: its
// scalars are text, and anchors, aliases, tags and merge keys are refused.
package wire
