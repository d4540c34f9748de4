package exact_test

import (
	"math/big"
	"testing"

	"example.com/ozeq/pkg/exact"
)

func TestBitLen(t *testing.T) {
	if n := exact.Frac(3, 4).BitLen(); n != 64 {
		t.Errorf("a small number takes %d bits", n)
	}
	long := new(big.Rat).SetFrac(new(big.Int).Lsh(big.NewInt(1), 200), big.NewInt(3))
	if n := exact.FromRat(long).BitLen(); n != 201 {
		t.Errorf("2^200/3 takes %d bits, want 201", n)
	}
	if n := exact.FromRat(long).Quo(exact.FromRat(long).Mul(exact.FromRat(long))).BitLen(); n != 201 {
		t.Errorf("3/2^200 takes %d bits, want 201", n)
	}
}
