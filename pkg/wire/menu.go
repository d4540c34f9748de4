package wire

import (
	"maps"
	"slices"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/menu"
	"example.com/ozeq/pkg/rules"

	pb "example.com/ozeq/api/ozeq/v1"
)

// ReadReview reads a menu file. Faults of shape come back with whatever could be
// read, for [Review] to report with those of content.
func ReadReview(data []byte, f Format) (*pb.ReviewRequest, *fault.List) {
	m := &pb.ReviewRequest{}
	faults, ok := read(data, f, m, manyAtOnce)
	if !ok {
		return nil, faults
	}
	return m, faults
}

// ReadTray reads a tray file as ReadReview reads a menu's.
func ReadTray(data []byte, f Format) (*pb.TrayRequest, *fault.List) {
	m := &pb.TrayRequest{}
	faults, ok := read(data, f, m, oneRequest)
	if !ok {
		return nil, faults
	}
	return m, faults
}

// Review turns a request into the library's, reviews it, and returns the review
// or everything wrong with the request.
func Review(r *menu.Reviewer, m *pb.ReviewRequest, shape *fault.List) (*menu.Review, error) {
	faults, ok := begun(m != nil, m.GetMenu() != nil, shape, "menu", "the menu to review")
	if !ok {
		return nil, faults.Err()
	}
	read := readMenu(m.GetMenu(), "menu", faults)
	out, err := r.Review(*read)
	if err := joined(faults, err, "menu"); err != nil {
		return nil, err
	}
	return out, nil
}

// CheckTray is Review for a tray.
func CheckTray(r *menu.Reviewer, m *pb.TrayRequest, shape *fault.List) (*menu.TrayAnswer, error) {
	faults, ok := begun(m != nil, m.GetTray() != nil, shape, "tray", "the tray to check")
	if !ok {
		return nil, faults.Err()
	}
	t := m.GetTray()
	tray := menu.Tray{Program: t.GetProgram(), Meal: t.GetMeal(), AgeGroup: t.GetAgeGroup(), Age: int(t.GetAge()), On: date(t.GetDate(), "tray.date", faults),
		Options: t.GetOptions(), Crediting: t.GetCrediting(), Foods: ownFoods(t.GetFoods())}
	if o := t.GetOffered(); o != nil {
		d := readDay(o, "tray.offered", faults)
		tray.Offered = &d
	}
	for i, x := range t.GetTaken() {
		at := fault.Index("tray.taken", i)
		taken := menu.Taken{Item: readItem(x.GetItem(), at+".item", faults)}
		if s := x.GetPortions(); s != "" {
			taken.Portions = plainNumber(s, at+".portions", "portions, such as 2 or 1/2", faults)
		}
		tray.Taken = append(tray.Taken, taken)
	}
	out, err := r.Tray(tray)
	if err := joined(faults, err, "tray"); err != nil {
		return nil, err
	}
	return out, nil
}

// begun collects the faults of reading and sees that there is something to ask.
func begun(read, given bool, shape *fault.List, path, want string) (*fault.List, bool) {
	faults := &fault.List{}
	if shape != nil {
		faults.Append(shape)
	}
	if read && !given && len(faults.Faults) == 0 {
		faults.Add(fault.Fault{Reason: fault.Missing, Path: path, Want: want, Fix: "Put it under " + path + "."})
	}
	return faults, read && given && faults.Omitted == 0
}

// joined adds the library's faults, whose paths begin within what path names, to
// those of reading, and leaves out those that only follow from them.
func joined(faults *fault.List, err error, path string) error {
	var own fault.List
	if err != nil && !own.Append(err) {
		return err
	}
	shown := len(faults.Faults)
	for _, f := range own.Faults {
		f.Path = fault.Field(path, f.Path)
		if !slices.ContainsFunc(faults.Faults[:shown], func(g fault.Fault) bool { return stands(g, f) }) {
			faults.Add(f)
		}
	}
	faults.Omitted += own.Omitted
	return faults.Err()
}

func date(s, path string, faults *fault.List) rules.Date {
	if s == "" {
		return rules.Date{}
	}
	d, err := rules.ParseDate(s)
	addAt(err, path, faults)
	return d
}

func readMenu(m *pb.Menu, path string, faults *fault.List) *menu.Menu {
	out := &menu.Menu{Program: m.GetProgram(), Meal: m.GetMeal(), AgeGroup: m.GetAgeGroup(), Age: int(m.GetAge()), Site: m.GetSite(),
		Options: m.GetOptions(), Crediting: m.GetCrediting()}
	for i, l := range m.GetLines() {
		line := menu.Line{Name: l.GetName()}
		for k, d := range l.GetDays() {
			line.Days = append(line.Days, readDay(d, fault.Index(fault.Index(path+".lines", i)+".days", k), faults))
		}
		out.Lines = append(out.Lines, line)
	}
	out.SubRecipes = readSubRecipes(m.GetSubRecipes(), path+".subRecipes", faults)
	out.Products = readProducts(m.GetProducts(), path+".products", faults)
	out.Foods = ownFoods(m.GetFoods())
	return out
}

func readDay(m *pb.MenuDay, path string, faults *fault.List) menu.Day {
	d := menu.Day{On: date(m.GetDate(), path+".date", faults), Meals: int(m.GetMeals())}
	for i, c := range m.GetChoices() {
		at := fault.Index(path+".choices", i)
		choice := menu.Choice{Name: c.GetName(), Take: int(c.GetTake()), MainDish: c.GetMainDish()}
		switch c.GetSame() {
		case "":
		case "allowed":
			choice.Same = menu.Allowed
		case "not-allowed":
			choice.Same = menu.NotAllowed
		default:
			faults.Add(fault.Fault{Reason: fault.UnknownValue, Path: at + ".same", Value: c.GetSame(), Want: "allowed or not-allowed", Fix: "Say whether a child may take the same item twice."})
		}
		for k, it := range c.GetItems() {
			choice.Items = append(choice.Items, readItem(it, fault.Index(at+".items", k), faults))
		}
		d.Choices = append(d.Choices, choice)
	}
	return d
}

func readItem(m *pb.MenuItem, path string, faults *fault.List) menu.Item {
	it := menu.Item{Name: m.GetName(), Paper: m.GetPaper(), Kind: m.GetKind(), Juice: m.GetJuice(), Dessert: m.GetDessert(), WholeGrainRich: m.GetWholeGrainRich(), ColdCereal: m.GetColdCereal(),
		Planned: int(m.GetPlanned()), CountAs: int(m.GetCountAs())}
	if r := m.GetRecipe(); r != nil {
		it.Recipe = readRecipe(r, path+".recipe", faults)
	}
	if p := m.GetProduct(); p != nil {
		x := readProduct(p, path+".product", faults)
		it.Product = &x
	}
	if s := m.GetBeansAsMeats(); s != "" {
		it.BeansAsMeats = fromZero(s, path+".beansAsMeats", "cups, such as 1/4", faults)
	}
	if s := m.GetNuts(); s != "" {
		n := fromZero(s, path+".nuts", "an amount in oz eq, such as 1/2", faults)
		it.Nuts = &n
	}
	if s := m.GetYogurtForMilk(); s != "" {
		it.YogurtForMilk = fromZero(s, path+".yogurtForMilk", "ounces, such as 6", faults)
	}
	if d := m.GetNondairy(); d != nil {
		it.Nondairy = &menu.Nondairy{Requested: d.GetRequested(), Nutrients: make(map[string]exact.Number, len(d.GetNutrients()))}
		for _, id := range slices.Sorted(maps.Keys(d.GetNutrients())) {
			it.Nondairy.Nutrients[id] = amountOf(d.GetNutrients()[id], fault.Field(path+".nondairy.nutrients", fault.Clip(id)), faults)
		}
	}
	for _, name := range slices.Sorted(maps.Keys(m.GetCredits())) {
		at := fault.Field(path+".credits", fault.Clip(name))
		c := credit.Claim{Text: m.GetCredits()[name], Amount: fromZero(m.GetCredits()[name], at, "an amount in oz eq or cups, such as 2 or 1/4", faults)}
		var ok bool
		if c.Component, ok = food.ParseComponent(name); !ok {
			c.Component = food.Vegetables
			if c.Subgroup, ok = food.ParseSubgroup(name); !ok {
				faults.Add(fault.Fault{Reason: fault.UnknownValue, Path: at, Value: name, Want: "grains, meats, fruits, vegetables, milk, dark-green, red-orange, beans-peas-lentils, starchy or other",
					Fix: "Name the component, or the subgroup of vegetables."})
				continue
			}
		}
		it.Credits = append(it.Credits, c)
	}
	for i, f := range m.GetInfant() {
		it.Infant = append(it.Infant, menu.InfantFood{Food: f.GetFood(),
			Amount: plainNumber(f.GetAmount(), fault.Index(path+".infant", i)+".amount", "an amount in fl oz, tablespoons, oz or oz eq, such as 6 or 1/2", faults)})
	}
	if k := m.GetMilk(); k != nil {
		it.Milk = &menu.Milk{Fat: k.GetFat(), Flavored: k.GetFlavored(), Flavor: k.GetFlavor()}
	}
	for i, s := range m.GetSugars() {
		it.Sugars = append(it.Sugars, readSugars(s, fault.Index(path+".sugars", i), faults))
	}
	if n := m.GetNutrients(); n != nil {
		at := path + ".nutrients"
		it.Nutrients = &menu.Nutrients{Calories: amountOf(n.GetCalories(), at+".calories", faults), Sodium: amountOf(n.GetSodium(), at+".sodium", faults),
			SaturatedFat: amountOf(n.GetSaturatedFat(), at+".saturatedFat", faults), MilkSaturatedFat: amountOf(n.GetMilkSaturatedFat(), at+".milkSaturatedFat", faults),
			AddedSugars: amountOf(n.GetAddedSugars(), at+".addedSugars", faults)}
		for _, x := range []struct{ name, is string }{{"calories", n.GetCalories()}, {"sodium", n.GetSodium()}, {"saturatedFat", n.GetSaturatedFat()}, {"addedSugars", n.GetAddedSugars()}} {
			if x.is == "" {
				it.Nutrients.Unsaid = append(it.Nutrients.Unsaid, x.name)
			}
		}
		if s := n.GetTransFat(); s != "" {
			grams := amountOf(s, at+".transFat", faults)
			it.Nutrients.TransFat = &grams
		}
	}
	return it
}

func readSugars(m *pb.MenuSugars, path string, faults *fault.List) menu.Sugars {
	s := menu.Sugars{Product: m.GetProduct(), Unit: m.GetUnit(), Serving: amountOf(m.GetServing(), path+".serving", faults)}
	if t := m.GetTotal(); t != "" {
		n := amountOf(t, path+".total", faults)
		s.Total = &n
	}
	if a := m.GetAdded(); a != "" {
		n := amountOf(a, path+".added", faults)
		s.Added = &n
	}
	return s
}

// fromZero is plainNumber for what there may be none of: a menu says so with 0.
func fromZero(s, path, want string, faults *fault.List) exact.Number {
	if n, err := exact.Parse(s); err == nil && n.IsZero() {
		return n
	}
	return plainNumber(s, path, want, faults)
}

// amountOf reads a plain number; none is 0.
func amountOf(s, path string, faults *fault.List) exact.Number {
	if s == "" {
		return exact.Number{}
	}
	n, err := exact.Parse(s)
	if err != nil {
		faults.Add(fault.Fault{Reason: fault.BadNumber, Path: path, Value: s, Want: "a plain number, such as 120 or 3.5", Fix: "Write a plain number: no sign, no unit, no exponent."})
	}
	return n
}

// ReviewMessage turns a review into the contract's message.
func ReviewMessage(r *menu.Review) *pb.Review {
	out := &pb.Review{Verdict: r.Verdict().String(), Checks: checks(r.Checks)}
	for _, p := range r.Patterns {
		out.Patterns = append(out.Patterns, &pb.ReviewPattern{Date: p.On.String(), Meal: p.Key.Meal, Id: p.ID()})
	}
	return out
}

// TrayMessage turns an answer about a tray into the contract's message.
func TrayMessage(a *menu.TrayAnswer) *pb.TrayAnswer {
	return &pb.TrayAnswer{Verdict: a.Verdict.String(), Counted: int32(a.Counted), Of: a.Of, Names: a.Names, Checks: checks(a.Checks), Add: a.Add}
}

func checks(list []menu.Check) []*pb.ReviewCheck {
	out := make([]*pb.ReviewCheck, 0, len(list))
	for i := range list {
		c := &list[i]
		m := &pb.ReviewCheck{Verdict: c.Verdict.String(), Note: c.Note, Rule: c.Rule, Citation: c.Citation(), Line: c.Line, Date: c.On.String(), Days: int32(c.Days),
			Item: c.Item, Needed: c.Needed.Fraction(), There: c.There.Fraction(), Short: c.Short.Fraction(), Unit: c.Unit, Word: c.Word, Taken: c.Taken, Because: c.Because, Mend: c.Mend}
		if c.Value != nil {
			m.Value, m.Mark = c.Value.ID(), c.Value.Source.Mark.String()
		}
		out = append(out, m)
	}
	return out
}

// MenuHead returns what names a menu, for a report: its program, meal, group and
// site.
func MenuHead(m *pb.ReviewRequest) *menu.Menu {
	x := m.GetMenu()
	return &menu.Menu{Program: x.GetProgram(), Meal: x.GetMeal(), AgeGroup: x.GetAgeGroup(), Site: x.GetSite()}
}
