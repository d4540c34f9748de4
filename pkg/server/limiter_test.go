package server

import (
	"testing"

	servicev1 "example.com/ozeq/api/ozeq/service/v1"
)

// A sixteenth of the places may go to long requests, and they leave the others
// to short ones.
func TestLongRequestsTakeAShare(t *testing.T) {
	l := newLimiter(32, 1)
	for n := range 2 {
		if err := l.take(true); err != nil {
			t.Fatalf("long request %d: %v", n+1, err)
		}
	}
	if err := l.take(true); err == nil || !l.full(true) {
		t.Error("a third long request was taken")
	}
	for n := range 30 {
		if l.full(false) {
			t.Fatalf("no place for short request %d", n+1)
		}
		if err := l.take(false); err != nil {
			t.Fatalf("short request %d: %v", n+1, err)
		}
	}
	if err := l.take(false); err == nil || !l.full(false) {
		t.Error("a thirty-third request was taken")
	}
	l.release(true)
	if l.full(true) || l.full(false) {
		t.Error("a place given back is not free")
	}
	if err := l.take(true); err != nil {
		t.Error(err)
	}
	if err := newLimiter(1, 1).take(true); err != nil {
		t.Errorf("a service of one place takes no long request: %v", err)
	}
}

func TestIsLong(t *testing.T) {
	for call, want := range map[string]bool{
		servicev1.CreditService_BatchCredit_FullMethodName:    true,
		servicev1.CreditService_VerifyRecord_FullMethodName:   true,
		servicev1.CreditService_Credit_FullMethodName:         false,
		servicev1.CreditService_StreamCredit_FullMethodName:   false,
		servicev1.ReferenceService_ListFoods_FullMethodName:   false,
		servicev1.MenuService_Review_FullMethodName:           true,
		servicev1.MenuService_BatchReview_FullMethodName:      true,
		servicev1.MenuService_ReviewDay_FullMethodName:        true,
		servicev1.MenuService_LookAhead_FullMethodName:        true,
		servicev1.MenuService_ReviewProduction_FullMethodName: true,
		"/v1/menus:lookAhead":                                 true,
		"/v1/productionRecords:review":                        true,
		servicev1.MenuService_CheckTray_FullMethodName:        false,
		"/v1/menus:review":                                    true,
		"/v1/menus:batchReview":                               true,
		"/v1/menus:reviewDay":                                 true,
		"/v1/trays:check":                                     false,
		"/v1/recipes:batchCredit":                             true,
		"/v1/records:verify":                                  true,
		"/v1/recipes:credit":                                  false,
	} {
		if isLong(call) != want {
			t.Errorf("isLong(%q) is %v", call, !want)
		}
	}
}
