package food

import "testing"

func BenchmarkDefault(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Default(); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkSearch(b *testing.B) {
	for name, text := range map[string]string{"plain": "brown rice", "misspelt": "kidny beens", "unknown": "xylophone stew", "longest": longest()} {
		b.Run(name, func(b *testing.B) {
			shipped().Search(text, 3) // builds the index
			b.ReportAllocs()
			for b.Loop() {
				shipped().Search(text, 3)
			}
		})
	}
}

// longest is a text of as many words as are looked at.
func longest() string {
	s := ""
	for len(s) < MaxSearch {
		s += "bean "
	}
	return s
}

// BenchmarkFirstSearch is what the first search of a process costs: it builds
// the index.
func BenchmarkFirstSearch(b *testing.B) {
	for b.Loop() {
		b.StopTimer()
		c, err := Default()
		if err != nil {
			b.Fatal(err)
		}
		b.StartTimer()
		c.Search("brown rice", 3)
	}
}

func BenchmarkWith(b *testing.B) {
	foods := []Own{own()}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := shipped().With(foods); err != nil {
			b.Fatal(err)
		}
	}
}
