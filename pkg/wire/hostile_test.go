package wire_test

import (
	"fmt"
	"runtime"
	"runtime/metrics"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/wire"
)

// hostile is a request nobody writes by hand, made when it is needed: it would
// take megabytes to keep.
type hostile struct {
	name string
	f    wire.Format
	make func() []byte
	want fault.Reason
}

const (
	yes  = wire.YAML
	json = wire.JSON
)

// full repeats s up to what a request may take.
func full(head, s string) []byte {
	return []byte(head + strings.Repeat(s, (wire.MaxRequest-len(head))/len(s)))
}

// numbered writes a line for each number up to what a request may take.
func numbered(head, line, tail string) []byte {
	var b strings.Builder
	b.WriteString(head)
	for i := 0; b.Len() < wire.MaxRequest-len(tail)-60; i++ {
		fmt.Fprintf(&b, line, i)
	}
	b.WriteString(tail)
	return []byte(b.String())
}

func text(s string) func() []byte { return func() []byte { return []byte(s) } }

func hostiles() []hostile {
	of := func(head, s string) func() []byte { return func() []byte { return full(head, s) } }
	ingredients := func(n int, one string) func() []byte {
		return func() []byte {
			return []byte(`{"recipe": {"name": "x", "servings": 4, "ingredients": [` + strings.Repeat(one+",", n-1) + one + `]}, "serviceDate": "2026-09-14", "program": "school-lunch"}`)
		}
	}
	return []hostile{
		{"ten megabytes of digits", json, text(`{"recipe": {"servings": ` + strings.Repeat("9", 10<<20) + `}}`), fault.TooLarge},
		{"ten megabytes of digits", yes, text("recipe:\n  servings: " + strings.Repeat("9", 10<<20)), fault.TooLarge},
		{"a megabyte of digits", json, of(`{"recipe": {"servings": `, "9"), fault.BadSyntax},
		{"a megabyte of digits, closed", json, text(`{"recipe": {"servings": ` + strings.Repeat("9", 1<<20-100) + `}}`), fault.WrongType},
		{"a megabyte of digits", yes, of("recipe:\n  servings: ", "9"), fault.WrongType},
		{"a megabyte of digits after the point", yes, of("recipe:\n  servings: 0.", "9"), fault.WrongType},
		{"a megabyte of hexadecimal digits", yes, of("recipe:\n  servings: 0x", "f"), fault.WrongType},
		{"an amount of a megabyte", json, text(`{"recipe": {"ingredients": [{"food": "quinoa", "quantity": "` + strings.Repeat("9", 1<<20-100) + `"}]}}`), fault.TooLong},
		{"a name of a megabyte", json, text(`{"recipe": {"name": "` + strings.Repeat("x", 1<<20-100) + `"}}`), fault.TooLong},
		{"a food of a megabyte", json, text(`{"recipe": {"ingredients": [{"food": "` + strings.Repeat("qui ", 1<<18-100) + `", "quantity": "1 lb"}]}}`), fault.UnknownFood},
		{"a key of a megabyte", json, text(`{"` + strings.Repeat("x", 1<<20-100) + `": 1}`), fault.UnknownField},
		{"an option of a megabyte", json, text(`{"options": {"` + strings.Repeat("x", 1<<20-100) + `": "y"}}`), fault.TooLong},

		{"a million ingredients", json, ingredients(1_000_000, `{"food": "quinoa", "quantity": "1 lb"}`), fault.TooLarge},
		{"a million ingredients", yes, text("recipe:\n  ingredients:\n" + strings.Repeat("    - {food: quinoa, quantity: 1 lb}\n", 1_000_000)), fault.TooLarge},
		{"ingredients to the brim", json, ingredients(26_000, `{"food": "quinoa", "quantity": "1 lb"}`), fault.TooMany},
		{"empty ingredients to the brim", json, of(`{"recipe": {"ingredients": [{}`, ",{}"), fault.TooLarge},
		{"one ingredient too many", json, ingredients(501, `{"food": "quinoa", "quantity": "1 lb"}`), fault.TooMany},
		{"ingredients to the brim", yes, of("recipe:\n  ingredients:\n", "    - {food: quinoa, quantity: 1 lb}\n"), fault.TooLarge},
		{"numbers to the brim", json, of(`{"recipe": {"ingredients": [1`, ",1"), fault.TooLarge},
		{"a thousand unknown foods", json, ingredients(500, `{"food": "kinwa groats nobody has", "quantity": "1 lb"}`), fault.UnknownFood},
		{"names to the brim", json, func() []byte { return numbered(`{`, `"k%x":1,`, `"z":1}`) }, fault.TooLarge},
		{"options to the brim", json, func() []byte { return numbered(`{"options":{`, `"o%x":"y",`, `"z":"y"}}`) }, fault.TooMany},
		{"names to the brim", yes, func() []byte { return numbered("", "k%x: 1\n", "") }, fault.TooLarge},
		{"comments to the brim", yes, of("", "a: 1 # b\n"), fault.TooLarge},
		{"foods to the brim", json, func() []byte {
			return numbered(`{"foods":[`, `{"id":"f%x","name":"a food of the caller"},`, `{"id":"f"}]}`)
		}, fault.TooMany},

		{"ten thousand lists in each other", json, text(strings.Repeat("[", 10_000)), fault.TooDeep},
		{"ten thousand lists in each other, closed", json, text(strings.Repeat("[", 10_000) + strings.Repeat("]", 10_000)), fault.TooDeep},
		{"ten thousand objects in each other", json, text(strings.Repeat(`{"recipe":`, 10_000)), fault.TooDeep},
		{"a megabyte of open lists", json, of("", "["), fault.TooDeep},
		{"ten thousand lists in each other", yes, text(strings.Repeat("[", 10_000)), fault.TooDeep},
		{"ten thousand dashes in a row", yes, text(strings.Repeat("- ", 10_000)), fault.TooDeep},
		{"ten thousand flow mappings in each other", yes, text(strings.Repeat("{a: ", 10_000)), fault.TooLarge},
		{"four thousand flow mappings in each other", yes, text(strings.Repeat("{a: ", 4_000)), fault.TooDeep},
		// Brackets in quotes must not hide those outside.
		{"lists beside quoted brackets", yes, text(strings.Repeat(`["]", `, 4_000)), fault.TooDeep},
		{"lists beside brackets in comments", yes, text(strings.Repeat("[ # ]\n ", 3_000)), fault.TooDeep},
		{"a megabyte of lists beside quoted brackets", yes, of("", `["]",`), fault.TooLarge},
		{"question marks in a row", yes, text(strings.Repeat("? ", 5_000)), fault.TooDeep},
		{"a megabyte of indentation", yes, func() []byte {
			var b strings.Builder
			for i := 0; b.Len()+i+4 < wire.MaxRequest; i++ {
				b.WriteString(strings.Repeat(" ", i) + "a:\n")
			}
			return []byte(b.String())
		}, fault.TooDeep},
		{"old line ends before dashes", yes, text("a\r" + strings.Repeat("- ", 10_000)), fault.WrongType},

		{"billion laughs", yes, func() []byte {
			var b strings.Builder
			b.WriteString("a: &a [lol, lol, lol, lol, lol, lol, lol, lol, lol]\n")
			for c := 'b'; c <= 'j'; c++ {
				fmt.Fprintf(&b, "%c: &%c [%s]\n", c, c, strings.TrimSuffix(strings.Repeat(fmt.Sprintf("*%c, ", c-1), 9), ", "))
			}
			return []byte(b.String())
		}, fault.YAMLFeature},
		{"an anchor in itself", yes, text("recipe: &r\n  recipe: *r\n"), fault.YAMLFeature},
		{"anchors in a row", yes, text("x: " + strings.Repeat("&a ", 5_000)), fault.BadSyntax},
		{"tags in a row", yes, text("x: " + strings.Repeat("!a ", 5_000)), fault.BadSyntax},
		{"merge keys to the brim", yes, text(strings.Repeat("<<: a\n", 4_000)), fault.YAMLFeature},
		{"keys in a row", yes, text(strings.Repeat("a: ", 6_000)), fault.BadSyntax},
		{"keys as blocks", yes, text(strings.Repeat("? a\n", 6_000)), fault.YAMLFeature},
		{"commas in a row", yes, text("[" + strings.Repeat(",", 15_000)), fault.BadSyntax},
		{"a quote never closed", yes, of(`a: "`, "x\n"), fault.TooLarge},
		{"a shorter quote never closed", yes, text(`a: "` + strings.Repeat("x\n", 50_000)), fault.BadSyntax},

		{"sub-recipes of sub-recipes", json, subRecipes, fault.TooMany},

		{"invalid UTF-8", json, text("{\"recipe\": {\"name\": \"\xff\xfe\"}}"), fault.NotUTF8},
		{"invalid UTF-8", yes, text("recipe: \xc3\x28\n"), fault.NotUTF8},
		{"UTF-16", yes, text("\xff\xfer\x00e\x00"), fault.NotUTF8},
		{"a byte order mark", json, text("\ufeff{}"), fault.BadSyntax},
		{"a byte order mark", yes, text("\ufeffrecipe:\n"), fault.BadSyntax},
		{"a zero byte", json, text("{\"recipe\": {\"name\": \"a\x00b\"}}"), fault.BadSyntax},
		{"a zero byte", yes, text("recipe: a\x00b\n"), fault.BadSyntax},
		{"a zero byte spelt out", json, text(`{"recipe": {"name": "a\u0000b"}}`), fault.BadText},
		{"a zero byte spelt out", yes, text(`recipe: {name: "a\0b"}`), fault.BadText},
		{"a byte order mark spelt out", json, text(`{"program": "\ufeffschool-lunch"}`), fault.BadText},
		{"nothing", json, text(""), fault.BadSyntax},
		{"nothing", yes, text(""), fault.WrongType},
		{"a list", yes, text("- 1\n- 2\n"), fault.WrongType},
	}
}

// subRecipes is a hundred kilobytes of recipes that ask for 499 of the next
// one, five deep: 10 to the power of 13 ingredients, none of which credits.
func subRecipes() []byte {
	var b strings.Builder
	b.WriteString(`{"recipe": {"name": "x", "servings": 1, "ingredients": [{"subRecipe": "s0", "quantity": "1 each"}]}, "serviceDate": "2026-09-14", "program": "school-lunch", "subRecipes": [`)
	for i := range 5 {
		one := fmt.Sprintf(`{"subRecipe": "s%d", "quantity": "1 each"}`, i+1)
		if i == 4 {
			one = `{"food": "salt", "quantity": "1 tsp"}`
		}
		fmt.Fprintf(&b, `{"id": "s%d", "name": "x", "servings": 1, "ingredients": [%s]},`, i, strings.TrimSuffix(strings.Repeat(one+",", 499), ","))
	}
	return []byte(strings.TrimSuffix(b.String(), ",") + "]}")
}

// What a hostile request may cost; the race detector alone makes it several
// times slower.
const (
	mostTime = 2 * time.Second * slower
	mostHeap = 200 << 20
)

// Hostile input is refused for the reason that fits it, in bounded time and
// memory, with no part of an answer and no fault too long to print.
func TestHostileInput(t *testing.T) {
	engine() // its loading is not what is measured
	for _, h := range hostiles() {
		t.Run(strings.ReplaceAll(h.name, " ", "-")+map[wire.Format]string{json: "-json", yes: "-yaml"}[h.f], func(t *testing.T) {
			data := h.make()
			var faults *fault.List
			var took time.Duration
			var heap uint64
			// A busy machine makes one try slow, not three.
			for try := 0; try == 0 || took > mostTime && try < 3; try++ {
				took, heap = cost(func() {
					rec, l := answer(t, data, h.f)
					if rec != nil {
						t.Error("this request was credited")
					}
					faults = l
				})
			}
			if took > mostTime {
				t.Errorf("took %v, at most %v", took, mostTime)
			}
			if heap > mostHeap {
				t.Errorf("took %d MB of heap, at most %d", heap>>20, mostHeap>>20)
			}
			found := false
			for _, f := range faults.Faults {
				usable(t, f)
				found = found || f.Reason == h.want
			}
			if !found {
				t.Errorf("refused for another reason than %s: %.300v", h.want, faults)
			}
		})
	}
}

// cost runs do and returns the time it took and how far the heap and the
// stacks rose above what was there before.
func cost(do func()) (time.Duration, uint64) {
	samples := []metrics.Sample{{Name: "/memory/classes/heap/objects:bytes"}, {Name: "/memory/classes/heap/stacks:bytes"}}
	read := func() uint64 {
		metrics.Read(samples)
		return samples[0].Value.Uint64() + samples[1].Value.Uint64()
	}
	runtime.GC()
	before := read()
	var peak atomic.Uint64
	stop, stopped := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(stopped)
		tick := time.NewTicker(time.Millisecond)
		defer tick.Stop()
		for {
			select {
			case <-stop:
				return
			case <-tick.C:
				peak.Store(max(peak.Load(), read()))
			}
		}
	}()
	start := time.Now()
	do()
	took := time.Since(start)
	close(stop)
	<-stopped
	return took, max(peak.Load(), read(), before) - before
}
