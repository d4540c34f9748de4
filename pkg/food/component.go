package food

// Component is a food component of the meal patterns.
type Component uint8

// The components.
const (
	NoComponent Component = iota
	Grains
	Meats // meats/meat alternates
	Fruits
	Vegetables
	Milk
)

var componentIDs = [...]string{"", "grains", "meats", "fruits", "vegetables", "milk"}

// String returns the id used in requests and tables.
func (c Component) String() string { return componentIDs[c] }

// Title returns the trade's name of the component.
func (c Component) Title() string {
	return [...]string{"", "Grains", "Meats/meat alternates", "Fruits", "Vegetables", "Fluid milk"}[c]
}

// Unit returns what the component is counted in: "oz eq" or "cup".
func (c Component) Unit() string {
	if c == Grains || c == Meats {
		return "oz eq"
	}
	return "cup"
}

// ParseComponent reads what [Component.String] writes.
func ParseComponent(s string) (Component, bool) {
	for i, id := range componentIDs {
		if id == s && s != "" {
			return Component(i), true
		}
	}
	return NoComponent, false
}

// Subgroup is a vegetable subgroup.
type Subgroup uint8

// The vegetable subgroups. Mixed vegetables count toward the total alone;
// Additional is what the subgroups leave of the total.
const (
	NoSubgroup Subgroup = iota
	DarkGreen
	RedOrange
	BeansPeasLentils
	Starchy
	OtherVegetables
	Additional
)

var subgroupIDs = [...]string{"", "dark-green", "red-orange", "beans-peas-lentils", "starchy", "other", "mixed"}

// String returns the id used in requests and tables.
func (s Subgroup) String() string {
	if s == Additional {
		return "additional"
	}
	return subgroupIDs[s]
}

// Title returns the trade's name of the subgroup.
func (s Subgroup) Title() string {
	return [...]string{"", "Dark green", "Red/orange", "Beans, peas, lentils", "Starchy", "Other", "Additional"}[s]
}

// ParseSubgroup reads a subgroup id; "mixed" is [Additional].
func ParseSubgroup(s string) (Subgroup, bool) {
	for i, id := range subgroupIDs {
		if id == s && s != "" {
			return Subgroup(i), true
		}
	}
	return NoSubgroup, false
}

// GrainKind says what kind of grain a food is.
type GrainKind uint8

// The kinds of grain.
const (
	NotAGrain GrainKind = iota
	WholeGrain
	EnrichedGrain
	BranOrGerm         // counts with the enriched share
	Nixtamalized       // counts as whole grain
	NotCreditableGrain // refined and not enriched, starches, fibers
	MixedGrain         // whole share not known
)

var grainKindIDs = [...]string{"", "whole", "enriched", "bran-germ", "nixtamalized", "not-creditable", "mixed"}

// String returns the id used in requests and tables.
func (k GrainKind) String() string { return grainKindIDs[k] }

// ParseGrainKind reads what [GrainKind.String] writes.
func ParseGrainKind(s string) (GrainKind, bool) { return lookUp[GrainKind](grainKindIDs[:], s) }

// GrainUse says how the grain of a food counts, which decides the grams in an
// ounce equivalent.
type GrainUse uint8

// The uses of grain.
const (
	NoUse    GrainUse = iota
	Baked             // flours and meals: baked in, breading, thickening
	Cooked            // rice, pasta, cooked cereal grains
	Cereal            // ready-to-eat cereal
	Either            // baked in or cooked as cereal, as the dish has it: oats, bran
	Prepared          // bought grain product, by Exhibit A weight
)

var grainUseIDs = [...]string{"", "baked", "cooked", "cereal", "either", "product"}

// String returns the id used in requests and tables.
func (u GrainUse) String() string { return grainUseIDs[u] }

// ParseGrainUse reads what [GrainUse.String] writes.
func ParseGrainUse(s string) (GrainUse, bool) { return lookUp[GrainUse](grainUseIDs[:], s) }

func lookUp[T ~uint8](ids []string, s string) (T, bool) {
	for i, id := range ids {
		if id == s && s != "" {
			return T(i), true
		}
	}
	return 0, false
}
