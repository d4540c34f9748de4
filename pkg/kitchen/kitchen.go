// Package kitchen answers what a kitchen asks of a recipe beyond its credits:
// what a substitution changes, how a batch is scaled, portioned and bought, and
// what reaches a target.
//
// What it promises:
//
//   - Every credit it shows is what package credit gives for the recipe it hands
//     out, kitchen rounding included. Nothing is credited here.
//   - Amounts are exact until they are rounded, once and by name, to measures a
//     kitchen has; the exact amount stands beside them.
//   - Whatever upsets a recipe is allowed and said, with its reason.
//   - Everything wrong with a request comes back at once, as a *fault.List.
//
// Allergen, gluten, choking and infant notes support, and never replace, label
// checks, local codes and licensed practice.
package kitchen

import "example.com/ozeq/pkg/credit"

// Kitchen answers kitchen questions. It is immutable and safe for concurrent use.
type Kitchen struct {
	engine *credit.Engine
	stop   func() error // see Until
}

// New returns a kitchen. The engine credits the recipes before and after.
func New(e *credit.Engine) *Kitchen { return &Kitchen{engine: e} }

// Until returns a kitchen that asks stop again and again while it searches, and ends
// with its error as soon as there is one. A service gives it the end of a request.
func (k *Kitchen) Until(stop func() error) *Kitchen { return &Kitchen{engine: k.engine, stop: stop} }
