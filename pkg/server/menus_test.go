package server

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/goccy/go-yaml"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/menu"
	"example.com/ozeq/pkg/wire"

	servicev1 "example.com/ozeq/api/ozeq/service/v1"
	pb "example.com/ozeq/api/ozeq/v1"
)

func (r *running) menus() servicev1.MenuServiceClient { return servicev1.NewMenuServiceClient(r.conn) }

// files lists what a pattern finds, at least so many.
func files(t *testing.T, pattern string, least int) []string {
	t.Helper()
	names, err := filepath.Glob(pattern)
	if err != nil || len(names) < least {
		t.Fatalf("%d files are %s, %v", len(names), pattern, err)
	}
	return names
}

func readFile(t *testing.T, name string) []byte {
	t.Helper()
	text, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return text
}

// workedMenu reads a menu worked by hand, in which everything is text, as a request
// whose credits have their paper, with the verdicts.
func workedMenu(t *testing.T, name string) (*pb.ReviewRequest, []map[string]string) {
	t.Helper()
	var file struct {
		Menu     map[string]any
		Verdicts []map[string]string
	}
	if err := yaml.Unmarshal(readFile(t, name), &file); err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	text, err := json.Marshal(map[string]any{"menu": typed("", file.Menu)})
	if err != nil {
		t.Fatal(err)
	}
	m := &pb.ReviewRequest{}
	if faults, ok := wire.ReadJSON(text, m); !ok || faults.Err() != nil {
		t.Fatalf("%s: %v", name, faults)
	}
	return m, file.Verdicts
}

// typed gives numbers and truth values their types, and items a paper.
func typed(key string, v any) any {
	switch v := v.(type) {
	case map[string]any:
		out := make(map[string]any)
		for k, x := range v {
			name := map[string]string{"saturated-fat": "saturatedFat", "added-sugars": "addedSugars"}[k]
			if name == "" {
				name = k
			}
			out[name] = typed(k, x)
		}
		if _, given := out["credits"]; given {
			out["paper"] = "as the menu was worked by hand"
		}
		return out
	case []any:
		out := make([]any, len(v))
		for i, x := range v {
			out[i] = typed("", x)
		}
		return out
	}
	text := fmt.Sprint(v)
	switch key {
	case "take", "meals", "planned":
		n, err := strconv.Atoi(text)
		if err != nil {
			return text
		}
		return n
	case "juice", "dessert", "wholeGrainRich", "flavored":
		return text == "yes"
	}
	return text
}

// ask asks over HTTP and reads the answer into a message.
func (r *running) ask(t *testing.T, path string, q, into proto.Message) int {
	t.Helper()
	body, err := wire.AppendJSON(nil, q)
	if err != nil {
		t.Fatal(err)
	}
	code, answer := r.post(t, path, body)
	if err := protojson.Unmarshal(answer, into); err != nil {
		t.Fatalf("%s: %d, %v in %s", path, code, err, answer)
	}
	return code
}

// Every menu worked by hand and every demo menu is answered the same by the library
// and through both doors, alone and in a batch, and the verdicts are those by hand.
func TestMenusThroughBothDoors(t *testing.T) {
	r := start(t, nil)
	d, _ := data()
	reviewer := menu.New(credit.New(d.Rules, d.Catalog), d.Patterns)
	ctx := context.Background()
	byHand := 0
	batch, wanted := &pb.BatchReviewRequest{}, &pb.BatchReviewResponse{}
	check := func(name string, m *pb.ReviewRequest) *pb.Review {
		t.Helper()
		out, err := wire.Review(reviewer, m, nil)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		want := wire.ReviewMessage(out)
		got, err := r.menus().Review(ctx, m)
		if err != nil || !proto.Equal(got, want) {
			t.Errorf("%s over gRPC: %v, the same: %v", name, err, proto.Equal(got, want))
		}
		back := &pb.Review{}
		if code := r.ask(t, "/v1/menus:review", m, back); code != http.StatusOK || !proto.Equal(back, want) {
			t.Errorf("%s over HTTP: %d, the same: %v", name, code, proto.Equal(back, want))
		}
		wanted.Answers = append(wanted.Answers, &pb.ReviewAnswer{Index: int32(len(batch.Requests)), Review: want})
		batch.Requests = append(batch.Requests, m)
		return want
	}
	for _, name := range files(t, "../../testdata/menus/*.yaml", 12) {
		m, verdicts := workedMenu(t, name)
		answer := check(name, m)
		for i, v := range verdicts {
			byHand++
			if v["together"] == "subgroups" {
				v["rule"] = menu.Subgroups
			}
			at := slices.IndexFunc(answer.GetChecks(), func(c *pb.ReviewCheck) bool {
				return c.GetLine() == v["line"] && c.GetRule() == v["rule"] && c.GetDate() == v["date"] && c.GetItem() == v["item"]
			})
			if at < 0 || answer.GetChecks()[at].GetVerdict() != v["verdict"] {
				t.Errorf("%s, verdict %d: %v", name, i+1, v)
			}
		}
	}
	if byHand < 50 {
		t.Errorf("%d verdicts by hand", byHand)
	}
	demos := append(files(t, "../../testdata/demo/*week.yaml", 1), files(t, "../../testdata/demo/weeks/*.yaml", 10)...)
	var care []*pb.Menu
	for _, name := range demos {
		m, shape := wire.ReadReview(readFile(t, name), wire.YAML)
		if shape.Err() != nil {
			t.Fatalf("%s: %v", name, shape)
		}
		check(name, m)
		if strings.HasPrefix(filepath.Base(name), "care-") {
			care = append(care, m.GetMenu())
		}
	}
	overGRPC, err := r.menus().BatchReview(ctx, batch)
	if err != nil || !proto.Equal(overGRPC, wanted) {
		t.Errorf("the batch over gRPC: %v, the same: %v", err, proto.Equal(overGRPC, wanted))
	}
	overHTTP := &pb.BatchReviewResponse{}
	if code := r.ask(t, "/v1/menus:batchReview", batch, overHTTP); code != http.StatusOK || !proto.Equal(overHTTP, wanted) {
		t.Errorf("the batch over HTTP: %d, the same: %v", code, proto.Equal(overHTTP, wanted))
	}

	day := &pb.ReviewDayRequest{Menus: care}
	out, err := wire.ReviewDay(reviewer, day, nil)
	if err != nil || len(care) != 3 {
		t.Fatal(len(care), err)
	}
	got, err := r.menus().ReviewDay(ctx, day)
	back := &pb.DayReview{}
	code := r.ask(t, "/v1/menus:reviewDay", day, back)
	if want := wire.DayMessage(out); err != nil || code != http.StatusOK || !proto.Equal(got, want) || !proto.Equal(back, want) || len(want.GetChecks()) != 10 || len(want.GetPatterns()) != 15 {
		t.Errorf("a day of care: %v, %d, %d checks of %d patterns", err, code, len(want.GetChecks()), len(want.GetPatterns()))
	}
}

// Trays too: the demo tray is short, and one vegetable more makes a meal of it.
func TestTraysThroughBothDoors(t *testing.T) {
	r := start(t, nil)
	text := string(readFile(t, "../../testdata/demo/tray.yaml"))
	for tray, verdict := range map[string]string{text: "not-met", strings.Replace(text, "red-orange: 1/4", "red-orange: 1/2", 1): "met"} {
		m, shape := wire.ReadTray([]byte(tray), wire.YAML)
		if shape.Err() != nil {
			t.Fatal(shape)
		}
		got, err := r.menus().CheckTray(context.Background(), m)
		back := &pb.TrayAnswer{}
		code := r.ask(t, "/v1/trays:check", m, back)
		if err != nil || code != http.StatusOK || !proto.Equal(got, back) || back.GetVerdict() != verdict || len(back.GetAdd()) == 0 && verdict == "not-met" {
			t.Errorf("want %s: %v, %d\n%v\n%v", verdict, err, code, got, back)
		}
	}
}

// Every menu looked ahead with and every production record worked by hand is answered
// the same by the library and through both doors.
func TestLookAheadAndProductionThroughBothDoors(t *testing.T) {
	r := start(t, nil)
	d, _ := data()
	reviewer := menu.New(credit.New(d.Rules, d.Catalog), d.Patterns)
	ctx := context.Background()
	coming := 0
	for _, name := range files(t, "../../testdata/ahead/*.yaml", 6) {
		text, _, _ := strings.Cut(string(readFile(t, name)), "\ncoming:")
		m, shape := wire.ReadLookAhead([]byte(text), wire.YAML)
		out, err := wire.LookAhead(reviewer, m, shape)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		want := wire.LookAheadMessage(out)
		coming += len(want.GetComing())
		got, err := r.menus().LookAhead(ctx, m)
		back := &pb.LookAhead{}
		if code := r.ask(t, "/v1/menus:lookAhead", m, back); err != nil || code != http.StatusOK || !proto.Equal(got, want) || !proto.Equal(back, want) {
			t.Errorf("%s: %v, %d, the same over gRPC: %v, over HTTP: %v", name, err, code, proto.Equal(got, want), proto.Equal(back, want))
		}
	}
	if coming < 5 {
		t.Errorf("only %d coming dates", coming)
	}
	verdicts := make(map[string]int)
	for _, name := range files(t, "../../testdata/production/*.yaml", 10) {
		text, _, _ := strings.Cut(string(readFile(t, name)), "\nexpected:")
		m, shape := wire.ReadProduction([]byte(text), wire.YAML)
		out, err := wire.Production(reviewer, m, shape)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		want := wire.ProductionMessage(out)
		verdicts[want.GetVerdict()]++
		got, err := r.menus().ReviewProduction(ctx, m)
		back := &pb.ProductionReview{}
		if code := r.ask(t, "/v1/productionRecords:review", m, back); err != nil || code != http.StatusOK || !proto.Equal(got, want) || !proto.Equal(back, want) {
			t.Errorf("%s: %v, %d, the same over gRPC: %v, over HTTP: %v", name, err, code, proto.Equal(got, want), proto.Equal(back, want))
		}
	}
	if verdicts["not-met"] == 0 || len(verdicts) < 2 {
		t.Errorf("verdicts %v", verdicts)
	}
	for path, want := range map[string]string{"/v1/menus:lookAhead": "MISSING menu", "/v1/productionRecords:review": "MISSING production"} {
		_, answer := r.post(t, path, []byte("{}"))
		p := &pb.Problem{}
		if err := protojson.Unmarshal(answer, p); err != nil || strings.Join(told(p.GetFaults()), " ") != want {
			t.Errorf("%s: %v in %s, want %s", path, err, answer, want)
		}
	}
}

// Every bad menu and tray has its faults through both doors, all of them at once,
// and in a batch without stopping the others.
func TestBadMenusThroughBothDoors(t *testing.T) {
	r := start(t, nil)
	ctx := context.Background()
	good, _ := workedMenu(t, "../../testdata/menus/01-smallest-entree.yaml")
	overGRPC := 0
	for _, name := range files(t, "../../testdata/menus/bad/*.yaml", 8) {
		want := wanted(t, name)
		tray := strings.HasPrefix(filepath.Base(name), "tray-")
		path, invoke := "/v1/menus:review", func(m proto.Message) error {
			_, err := r.menus().Review(ctx, m.(*pb.ReviewRequest))
			return err
		}
		text := readFile(t, name)
		var m proto.Message
		review, shape := wire.ReadReview(text, wire.YAML)
		m = review
		if tray {
			path, invoke = "/v1/trays:check", func(m proto.Message) error {
				_, err := r.menus().CheckTray(ctx, m.(*pb.TrayRequest))
				return err
			}
			m, shape = wire.ReadTray(text, wire.YAML)
		}
		body, err := yaml.YAMLToJSON(text)
		if shape.Err() == nil {
			overGRPC++
			p := problem(status.Convert(invoke(m)), "")
			if got := told(p.GetFaults()); p.GetOmitted() == 0 && !slices.Equal(got, want) || len(got)+int(p.GetOmitted()) != len(want) {
				t.Errorf("%s over gRPC:\n%s\nand %d omitted, want\n%s", name, strings.Join(got, "\n"), p.GetOmitted(), strings.Join(want, "\n"))
			}
			body, err = wire.AppendJSON(nil, m)
		}
		if err != nil {
			t.Fatal(err)
		}
		code, answer := r.post(t, path, body)
		p := &pb.Problem{}
		if err := protojson.Unmarshal(answer, p); err != nil {
			t.Fatalf("%s: %v in %s", name, err, answer)
		}
		if got := told(p.GetFaults()); code != http.StatusBadRequest || !slices.Equal(got, want) {
			t.Errorf("%s over HTTP: %d\n%s\nwant\n%s", name, code, strings.Join(got, "\n"), strings.Join(want, "\n"))
		}
		for _, f := range p.GetFaults() {
			if f.GetWant() == "" || f.GetFix() == "" {
				t.Errorf("%s: %v says not how to mend it", name, f)
			}
		}
		if tray {
			continue
		}
		first, err := wire.AppendJSON(nil, good)
		if err != nil {
			t.Fatal(err)
		}
		code, answer = r.post(t, "/v1/menus:batchReview", fmt.Appendf(nil, `{"requests":[%s,%s,%[1]s]}`, first, body))
		b := &pb.BatchReviewResponse{}
		if err := protojson.Unmarshal(answer, b); err != nil || code != http.StatusOK || len(b.GetAnswers()) != 3 {
			t.Fatalf("%s in a batch: %d, %v in %s", name, code, err, answer)
		}
		if got := told(b.GetAnswers()[1].GetFaults().GetFaults()); !slices.Equal(got, want) || b.GetAnswers()[0].GetReview() == nil || b.GetAnswers()[2].GetReview() == nil {
			t.Errorf("%s in a batch:\n%s\nwant\n%s", name, strings.Join(got, "\n"), strings.Join(want, "\n"))
		}
	}
	if overGRPC < 7 {
		t.Errorf("only %d of them can be told over gRPC", overGRPC)
	}
	for what, q := range map[string]struct {
		path, body, want string
	}{
		"a batch of none":     {"/v1/menus:batchReview", `{}`, "MISSING requests"},
		"a batch of too many": {"/v1/menus:batchReview", `{"requests":[` + strings.Repeat("{},", wire.MaxBatch) + `{}]}`, "TOO_MANY requests"},
		"a day of none":       {"/v1/menus:reviewDay", `{}`, "MISSING menus"},
		"a day of too many":   {"/v1/menus:reviewDay", `{"menus":[` + strings.Repeat("{},", wire.MaxBatch) + `{}]}`, "TOO_MANY menus"},
		"two groups in a day": {"/v1/menus:reviewDay", careDay("ages-1-2", "ages-3-5"), "CONFLICTING menus[1]"},
	} {
		code, answer := r.post(t, q.path, []byte(q.body))
		p := &pb.Problem{}
		if err := protojson.Unmarshal(answer, p); err != nil || code != http.StatusBadRequest || strings.Join(told(p.GetFaults()), " ") != q.want {
			t.Errorf("%s: %d, %v in %s, want %s", what, code, err, answer, q.want)
		}
	}
}

// careDay is a breakfast and a lunch of two groups.
func careDay(groups ...string) string {
	var menus []string
	for i, g := range groups {
		menus = append(menus, fmt.Sprintf(`{"program":"child-adult-care","meal":%q,"ageGroup":%q,"lines":[{"name":"room","days":[{"date":"2026-09-14","choices":[{"take":1,"items":[{"name":"Oats","credits":{"grains":"1"}}]}]}]}]}`,
			[]string{"breakfast", "lunch"}[i], g))
	}
	return `{"menus":[` + strings.Join(menus, ",") + `]}`
}

// Patterns are the same through both doors, and their pages hold each once.
func TestPatternsThroughBothDoors(t *testing.T) {
	r := start(t, nil)
	ctx := context.Background()
	get := func(query string) (int, []byte) {
		t.Helper()
		resp, err := http.Get(r.http + "/v1/patterns?" + query)
		if err != nil {
			t.Fatal(err)
		}
		defer resp.Body.Close()
		text, err := io.ReadAll(resp.Body)
		if err != nil {
			t.Fatal(err)
		}
		return resp.StatusCode, text
	}
	code, text := get("serviceDate=2026-09-14&program=school-lunch&options[vegetables-for-grains]=islands&pageSize=3")
	back := &pb.ListPatternsResponse{}
	if err := protojson.Unmarshal(text, back); err != nil || code != http.StatusOK {
		t.Fatalf("%d, %v in %.200s", code, err, text)
	}
	got, err := r.foods.ListPatterns(ctx, &pb.ListPatternsRequest{ServiceDate: "2026-09-14", Program: "school-lunch", Options: map[string]string{"vegetables-for-grains": "islands"}, PageSize: 3})
	if err != nil || !proto.Equal(got, back) || len(got.GetPatterns()) != 3 || got.GetNextPageToken() == "" || got.GetTotalSize() != 4 {
		t.Errorf("%v: the same: %v, %d of %d", err, proto.Equal(got, back), len(got.GetPatterns()), got.GetTotalSize())
	}
	code, text = get("serviceDate=2026-9-14&program=lunch&ageGroup=k5&options[whim]=yes&pageSize=500")
	p := &pb.Problem{}
	if err := protojson.Unmarshal(text, p); err != nil || code != http.StatusBadRequest ||
		strings.Join(told(p.GetFaults()), ", ") != "BAD_DATE serviceDate, OUT_OF_RANGE pageSize, UNKNOWN_OPTION options.whim, UNKNOWN_PROGRAM program, UNKNOWN_VALUE ageGroup" {
		t.Errorf("%d, %v in %s", code, err, text)
	}
}

// A review that takes too long is ended, and not when it has an answer at last.
func TestReviewsEndInTime(t *testing.T) {
	r := start(t, func(c *Config) { c.RequestTimeout = 50 * time.Millisecond })
	primes := []int{2, 3, 5, 7, 11, 13, 17, 19, 23, 29, 31, 37, 41, 43, 47, 53, 59, 61, 67, 71, 73, 79, 83, 89, 97}
	m := &pb.Menu{Program: "school-lunch", AgeGroup: "9-12"}
	for l := range 20 {
		line := &pb.MenuLine{Name: fmt.Sprint("line ", l)}
		for d := range 5 {
			c := &pb.MenuChoice{Take: 20, Same: "not-allowed"}
			for i := range menu.MostItems {
				p := primes[(i*7+d)%25]
				c.Items = append(c.Items, &pb.MenuItem{Name: fmt.Sprint("Vegetable ", i),
					Credits: map[string]string{[]string{"dark-green", "red-orange", "starchy"}[i%3]: fmt.Sprintf("%d/%d", 127*p+1, 1000*p), "other": fmt.Sprintf("%d/%d", 20*p+1, 1000*p)}})
			}
			line.Days = append(line.Days, &pb.MenuDay{Date: fmt.Sprint("2026-09-1", 4+d), Choices: []*pb.MenuChoice{c, c}})
		}
		m.Lines = append(m.Lines, line)
	}
	begin := time.Now()
	p := &pb.Problem{}
	code := r.ask(t, "/v1/menus:review", &pb.ReviewRequest{Menu: m}, p)
	if took := time.Since(begin); code != http.StatusGatewayTimeout || p.GetReason() != DeadlineExceeded || took > 5*time.Second {
		t.Errorf("%d %s after %v", code, p.GetReason(), took)
	}
	begin = time.Now()
	_, err := r.menus().BatchReview(context.Background(), &pb.BatchReviewRequest{Requests: []*pb.ReviewRequest{{Menu: m}}})
	if took := time.Since(begin); reasonOf(err) != DeadlineExceeded || took > 5*time.Second {
		t.Errorf("%v after %v", err, took)
	}
}

// Menus may be as long as batches, and a tray no longer than a recipe.
func TestBodiesOfMenus(t *testing.T) {
	r := start(t, nil)
	for path, most := range map[string]int{"/v1/menus:review": wire.MaxBatchBytes, "/v1/menus:reviewDay": wire.MaxBatchBytes, "/v1/menus:batchReview": wire.MaxBatchBytes, "/v1/trays:check": wire.MaxRequest} {
		for size, want := range map[int]string{most: "BAD_SYNTAX", most + 1: string(fault.TooLarge)} {
			_, answer := r.post(t, path, []byte(strings.Repeat(" ", size)))
			p := &pb.Problem{}
			if err := protojson.Unmarshal(answer, p); err != nil || p.GetReason() != want {
				t.Errorf("%s with %d bytes: %v %s, want %s", path, size, err, p.GetReason(), want)
			}
		}
	}
}
