// Package server is ozeq as a service: the calls of the contract over gRPC, and
// over HTTP as JSON, in one process that keeps nothing.
//
// What it promises:
//
//   - Both doors give the answer the library gives. HTTP goes through the same
//     interceptors as gRPC, over a channel within the process.
//   - Nothing is dropped that was accepted: [Server.Serve] turns readiness off,
//     waits, lets both doors finish, and only then stops.
//   - Everything is bounded: bytes of a body and of all bodies together, depth,
//     items, time, requests at once, connections. Excess is refused at once, with
//     a hint when to come back.
//   - Nothing internal leaves: a panic is a logged stack and an answer with the
//     id of the request.
//
// It listens on the loopback interface and asks for no token unless told
// otherwise.
package server
