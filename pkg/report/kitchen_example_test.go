package report_test

import (
	"os"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/kitchen"
	"example.com/ozeq/pkg/report"
)

// A shopping list for beef in three sizes of portion, with some on hand.
func ExampleBuy() {
	p, err := kitchen.New(engine()).Buy(kitchen.BuyRequest{
		Foods: []kitchen.BuyFood{{Food: "ridge-beef", Groups: []kitchen.BuyGroup{{Name: "K-5", Count: 153, Size: exact.Int(2)}, {Name: "6-12", Count: 247, Size: exact.Int(2)}}}}})
	if err != nil {
		panic(err)
	}
	if err := report.Buy(os.Stdout, p); err != nil {
		panic(err)
	}
	// Output:
	// SHOPPING LIST
	//
	// BUY
	//   ground beef, 20% fat        68 lb, 0.2033 lb left over
	//
	// HOW MUCH, AS PURCHASED
	//   ground beef, 20% fat        67.7966 lb
	//       K-5 153 of 2 oz eq, 6-12 247 of 2 oz eq: 67.7966 lb [1]
	//       by 11.8 servings of 1 oz eq per lb: 67.7966 lb, buy 68 lb
	//       by 8.5 lb per 100 servings (worked out: 100 / 11.8, up to a tenth): 68 lb,
	//       buy 68 lb
	//
	// FIGURES AND THEIR SOURCES
	//   [1] ground beef, 20% fat, cooked, 11.8 servings of 1 oz eq per lb; Handbook,
	//       Section 2, 2022, an agency (read)
	//   A source marked ? was not checked, or is not the handbook.
	//
	// Amounts are exact until they go up to what is sold, once. Running values are cut
	// to 4 decimals for reading. Read every label: what is bought decides the
	// allergens.
}
