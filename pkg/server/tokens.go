package server

import (
	"bufio"
	"bytes"
	"context"
	"crypto/rand"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/base64"
	"encoding/hex"
	"fmt"
	"os"
	"strings"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/metadata"
)

// tokens are the hashes of the bearer tokens allowed in. A token is 32 random
// bytes, so one round of SHA-256 keeps it: there is nothing to guess.
type tokens [][sha256.Size]byte

// NewToken returns a token to give to a caller, and its line for the token
// file.
func NewToken() (token, line string) {
	var b [32]byte
	rand.Read(b[:]) // never fails
	token = base64.RawURLEncoding.EncodeToString(b[:])
	sum := sha256.Sum256([]byte(token))
	return token, hex.EncodeToString(sum[:])
}

// readTokens reads a token file: a hash a line, anything behind it is a remark,
// and so is a line that begins with #.
func readTokens(name string) (tokens, error) {
	data, err := os.ReadFile(name)
	if err != nil {
		return nil, err
	}
	var out tokens
	lines := bufio.NewScanner(bytes.NewReader(data))
	for n := 1; lines.Scan(); n++ {
		fields := strings.Fields(lines.Text())
		if len(fields) == 0 || fields[0][0] == '#' {
			continue
		}
		sum, err := hex.DecodeString(fields[0])
		if err != nil || len(sum) != sha256.Size {
			return nil, fmt.Errorf("%s: line %d does not begin with a SHA-256 in hex; make one with `ozeq token`", name, n)
		}
		out = append(out, [sha256.Size]byte(sum))
	}
	if err := lines.Err(); err != nil {
		return nil, err
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("%s: holds no token, so nobody could call; make one with `ozeq token`", name)
	}
	return out, nil
}

// allow reports whether the caller may in. Every hash is compared, so that time
// tells nothing.
func (t tokens) allow(ctx context.Context) error {
	if t == nil {
		return nil
	}
	md, _ := metadata.FromIncomingContext(ctx)
	given := ""
	if v := md.Get("authorization"); len(v) == 1 {
		given = v[0]
	}
	scheme, token, _ := strings.Cut(given, " ")
	sum := sha256.Sum256([]byte(strings.TrimSpace(token)))
	match := 0
	for i := range t {
		match |= subtle.ConstantTimeCompare(t[i][:], sum[:])
	}
	if match == 1 && strings.EqualFold(scheme, "bearer") {
		return nil
	}
	return refusal(codes.Unauthenticated, Unauthenticated, "This service asks for a bearer token in the Authorization header, and there was none that it knows.")
}
