package wire

import (
	"strings"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/kitchen/reading"

	pb "example.com/ozeq/api/ozeq/v1"
)

// ReadDraft reads a recipe from the text or the JSON-LD of a request, with what
// somebody says of its lines, or returns everything wrong with the request.
func ReadDraft(r *reading.Reader, m *pb.ReadRecipeRequest, shape *fault.List) (*reading.Reading, *reading.Draft, error) {
	faults, ok := started(m != nil, shape)
	if !ok {
		return nil, nil, faults.Err()
	}
	var out *reading.Reading
	var err error
	at := ""
	switch {
	case m.GetText() != "" && m.GetJsonLd() != "":
		faults.Add(fault.Fault{Reason: fault.Conflicting, Path: "jsonLd", Want: "either text or jsonLd", Fix: "Leave one of the two out."})
	case m.GetJsonLd() != "":
		at = "jsonLd"
		out, err = r.JSONLD([]byte(m.GetJsonLd()))
	case isPage(m.GetText()):
		faults.Add(fault.Fault{Reason: fault.BadSyntax, Path: "text", Value: m.GetText(), Want: "the text of a recipe, and not the page around it", Fix: "Copy the text you see, or send the page's schema.org Recipe under jsonLd."})
	case m.GetText() != "":
		out, err = r.Text(m.GetText())
	case len(faults.Faults) == 0:
		faults.Add(fault.Fault{Reason: fault.Missing, Path: "text", Want: "the recipe as text, or as JSON-LD under jsonLd", Fix: "Paste the list of ingredients, a line each."})
	}
	confirmed := confirmation(m, faults)
	if err := joined(faults, err, at); out == nil {
		return nil, nil, err
	}
	draft, err := out.Draft(confirmed)
	if err := joined(faults, err, ""); err != nil {
		return nil, nil, err
	}
	return out, draft, nil
}

// isPage reports whether a text is the source of a web page.
func isPage(text string) bool {
	head := strings.ToLower(strings.TrimLeft(text[:min(len(text), 200)], "\ufeff \t\r\n"))
	return strings.HasPrefix(head, "<!doctype html") || strings.HasPrefix(head, "<html")
}

// ReadRecipe is ReadDraft for the contract's message. The catalog names the foods
// that were found.
func ReadRecipe(r *reading.Reader, c *food.Catalog, m *pb.ReadRecipeRequest, shape *fault.List) (*pb.RecipeReading, error) {
	out, draft, err := ReadDraft(r, m, shape)
	if err != nil {
		return nil, err
	}
	return ReadingMessage(out, draft, c), nil
}

// AppendReadingFile appends a draft as a recipe file, as [AppendRecipeFile] does, each
// line that is not confirmed with what was written and what is to be said of it.
func AppendReadingFile(b []byte, r *reading.Reading, d *reading.Draft, on, program string) ([]byte, error) {
	notes := make(map[int][]string)
	for _, o := range d.Open {
		l := &r.Lines[o.Line]
		at, word := o.Ingredient, "LIKELY"
		for i := o.Line - 1; at < 0 && i >= 0; i-- {
			at = d.At[i] // below what stands before it
		}
		if l.Certainty == reading.Unknown {
			word = "UNKNOWN"
		}
		say := word + ", to be confirmed: " + l.Text
		if o.Ingredient < 0 {
			say = word + ", not in the list: " + l.Text
		}
		notes[at] = append(notes[at], say)
		for _, x := range l.Doubts {
			notes[at] = append(notes[at], "  "+x.Words)
		}
		if o.Ingredient >= 0 {
			notes[at] = append(notes[at], "  When it is right, take notCrediting out.")
		}
	}
	req := &pb.CreditRequest{Recipe: RecipeMessage(d.Recipe), ServiceDate: on, Program: program}
	if req.Recipe.GetName() == "" {
		b = append(b, "# To be written: recipe.name, what the recipe is called.\n"...)
	}
	if d.ServingsDoubt != "" {
		b = append(b, "# To be confirmed, recipe.servings: "+oneLine(d.ServingsDoubt)+"\n"...)
		req.Recipe.Servings = 0 // asked for when it is credited
	}
	if r.PortionDoubt != "" {
		b = append(b, "# To be confirmed, recipe.portions: "+oneLine(r.PortionDoubt)+"\n"...)
	}
	if on == "" {
		b = append(b, "# To be written: serviceDate, the day it is served.\n"...)
	}
	if program == "" {
		b = append(b, "# To be written: program, such as school-lunch.\n"...)
	}
	return AppendRecipeFile(b, req, notes)
}

// CreditDraft credits a draft as it stands, what is open held out. What is not known
// yet, such as the servings, is missed as in any request.
func CreditDraft(e *credit.Engine, d *reading.Draft, on, program string) (*credit.Record, error) {
	faults := &fault.List{}
	req := credit.Request{Recipe: d.Recipe, On: date(on, "serviceDate", faults), Program: program}
	rec, err := e.Credit(req)
	if err := joined(faults, err, ""); err != nil {
		return nil, err
	}
	return rec, nil
}

func confirmation(m *pb.ReadRecipeRequest, faults *fault.List) reading.Confirmation {
	out := reading.Confirmation{Servings: int(m.GetServings())}
	for i, a := range m.GetAnswers() {
		if i > reading.MaxLines {
			break // more than there are lines
		}
		x := reading.Answer{Line: int(a.GetLine()), AsRead: a.GetAsRead(), Alternative: int(a.GetAlternative()), LeaveOut: a.GetLeaveOut()}
		if o := a.GetOwn(); o != nil {
			x.Own = &reading.Choice{Food: o.GetFood(), State: o.GetState(), Basis: o.GetBasis(), Quantity: quantity(o.GetQuantity(), fault.Index("answers", i)+".own.quantity", faults)}
		}
		out.Lines = append(out.Lines, x)
	}
	return out
}

// ReadingMessage turns a reading and its draft into the contract's message.
func ReadingMessage(r *reading.Reading, d *reading.Draft, c *food.Catalog) *pb.RecipeReading {
	m := &pb.RecipeReading{Name: r.Name, Servings: int32(r.Servings), ServingsText: r.ServingsText, ServingsDoubt: d.ServingsDoubt, PortionText: r.PortionText, PortionDoubt: r.PortionDoubt,
		Recipe: RecipeMessage(d.Recipe), Complete: len(d.Open) == 0 && d.ServingsDoubt == ""}
	if r.PortionName != "" || !r.PortionWeight.IsZero() || !r.PortionVolume.IsZero() {
		m.Portion = &pb.Portion{Name: r.PortionName, Weight: written(r.PortionWeight), Measure: written(r.PortionVolume)}
	}
	certain, likely, unknown := r.Count()
	m.Certain, m.Likely, m.Unknown = int32(certain), int32(likely), int32(unknown)
	for i := range r.Lines {
		l := &r.Lines[i]
		x := &pb.ReadLine{Path: l.Path, Text: l.Text, Start: int32(l.Start), Heading: l.Heading, Certainty: l.Certainty.String(), Choice: choiceMessage(&l.Choice), Amount: l.Amount,
			AmountStart: int32(l.AmountAt.Start), AmountEnd: int32(l.AmountAt.End), Name: l.Name, Optional: l.Optional}
		if f, ok := c.Food(l.Food); ok {
			x.FoodName = f.Name
		}
		for _, w := range l.Doubts {
			x.Doubts = append(x.Doubts, &pb.LineDoubt{About: string(w.About), Text: w.Words})
		}
		for k := range l.Alternatives {
			x.Alternatives = append(x.Alternatives, &pb.OtherReading{Choice: choiceMessage(&l.Alternatives[k].Choice), Text: l.Alternatives[k].Words})
		}
		m.Lines = append(m.Lines, x)
	}
	for _, s := range r.Skipped {
		m.Skipped = append(m.Skipped, &pb.SkippedLine{Path: s.Path, Text: s.Text, Reason: s.Words})
	}
	for _, o := range d.Open {
		m.Open = append(m.Open, &pb.OpenLine{Line: int32(o.Line), Ingredient: int32(o.Ingredient)})
	}
	return m
}

func choiceMessage(c *reading.Choice) *pb.LineChoice {
	return &pb.LineChoice{Food: c.Food, State: c.State, Basis: c.Basis, Quantity: written(c.Quantity)}
}
