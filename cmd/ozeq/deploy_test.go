package main

import (
	"bytes"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/goccy/go-yaml"
	"github.com/spf13/pflag"

	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/rules"
	"example.com/ozeq/pkg/rules/patterns"
	"example.com/ozeq/pkg/server"
)

const deploy = "../../deploy/"

func deployFile(t *testing.T, name string) []byte {
	t.Helper()
	data, err := os.ReadFile(deploy + name)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// serveArgs reads arguments as `ozeq serve` would, and returns the settings.
func serveArgs(t *testing.T, args []string) (*server.Config, *pflag.FlagSet) {
	t.Helper()
	if len(args) == 0 || args[0] != "serve" {
		t.Fatalf("%q does not begin with serve", args)
	}
	c := new(server.Config)
	f := pflag.NewFlagSet("serve", pflag.ContinueOnError)
	serveFlags(f, c, new(settings))
	if err := f.Parse(args[1:]); err != nil {
		t.Fatal(err)
	}
	if f.NArg() > 0 {
		t.Fatalf("%q is no flag", f.Args())
	}
	return c, f
}

func port(t *testing.T, address string) int {
	t.Helper()
	_, p, err := net.SplitHostPort(address)
	if err != nil {
		t.Fatal(err)
	}
	n, err := strconv.Atoi(p)
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// checkPaths holds that the doors answer at the paths that probes ask.
func checkPaths(t *testing.T, paths ...string) {
	t.Helper()
	rs, err := rules.Default()
	if err != nil {
		t.Fatal(err)
	}
	cat, err := food.Default()
	if err != nil {
		t.Fatal(err)
	}
	ps, err := patterns.Default()
	if err != nil {
		t.Fatal(err)
	}
	s, err := server.New(server.Config{}, server.Data{Rules: rs, Catalog: cat, Patterns: ps})
	if err != nil {
		t.Fatal(err)
	}
	s.SetReady(true)
	for _, p := range paths {
		if code := get(s.Handler(), p); code != 200 {
			t.Errorf("GET %s answers %d", p, code)
		}
	}
}

// kubernetes is what the test reads of deploy/kubernetes.yaml. That every field
// is one of Kubernetes' own is tested under tools/deploy.
type kubernetes struct {
	Kind     string
	Metadata struct{ Name string }
	Spec     struct {
		Replicas int
		Selector map[string]any
		Ports    []struct {
			Name       string
			Port       int
			TargetPort string `yaml:"targetPort"`
		}
		MaxUnavailable int `yaml:"maxUnavailable"`
		Template       struct {
			Metadata struct{ Labels map[string]string }
			Spec     pod
		}
	}
}

type pod struct {
	AutomountServiceAccountToken  *bool `yaml:"automountServiceAccountToken"`
	EnableServiceLinks            *bool `yaml:"enableServiceLinks"`
	TerminationGracePeriodSeconds int   `yaml:"terminationGracePeriodSeconds"`
	SecurityContext               struct {
		RunAsNonRoot   bool                  `yaml:"runAsNonRoot"`
		RunAsUser      int                   `yaml:"runAsUser"`
		SeccompProfile struct{ Type string } `yaml:"seccompProfile"`
	} `yaml:"securityContext"`
	TopologySpreadConstraints []map[string]any `yaml:"topologySpreadConstraints"`
	Containers                []struct {
		Args  []string
		Env   []struct{ Name, Value string }
		Ports []struct {
			Name          string
			ContainerPort int `yaml:"containerPort"`
		}
		ReadinessProbe  probe `yaml:"readinessProbe"`
		LivenessProbe   probe `yaml:"livenessProbe"`
		SecurityContext struct {
			AllowPrivilegeEscalation *bool `yaml:"allowPrivilegeEscalation"`
			ReadOnlyRootFilesystem   bool  `yaml:"readOnlyRootFilesystem"`
			Capabilities             struct{ Drop []string }
		} `yaml:"securityContext"`
		VolumeMounts []struct {
			MountPath string `yaml:"mountPath"`
		} `yaml:"volumeMounts"`
	}
}

type probe struct {
	HTTPGet struct{ Path, Port string } `yaml:"httpGet"`
}

func TestKubernetes(t *testing.T) {
	found := make(map[string]kubernetes)
	for d := yaml.NewDecoder(bytes.NewReader(deployFile(t, "kubernetes.yaml"))); ; {
		var k kubernetes
		if err := d.Decode(&k); err == io.EOF {
			break
		} else if err != nil {
			t.Fatal(err)
		}
		found[k.Kind] = k
	}
	deployment, service, budget := found["Deployment"].Spec, found["Service"].Spec, found["PodDisruptionBudget"].Spec
	pod := deployment.Template.Spec
	if len(found) != 3 || len(pod.Containers) != 1 {
		t.Fatalf("%d kinds, %d containers", len(found), len(pod.Containers))
	}
	box := pod.Containers[0]
	c, f := serveArgs(t, box.Args)

	ports := make(map[string]int)
	for _, p := range box.Ports {
		ports[p.Name] = p.ContainerPort
	}
	for name, address := range map[string]string{"http": c.HTTPAddress, "grpc": c.GRPCAddress, "metrics": c.MetricsAddress} {
		if ports[name] != port(t, address) {
			t.Errorf("port %s is %d, and ozeq listens at %s", name, ports[name], address)
		}
		if host, _, _ := net.SplitHostPort(address); host != "" {
			t.Errorf("%s listens at %s, where no other pod reaches it", name, address)
		}
	}
	for _, p := range service.Ports {
		if ports[p.TargetPort] != p.Port {
			t.Errorf("the service's port %s is %d, the container's %d", p.Name, p.Port, ports[p.TargetPort])
		}
	}
	for _, p := range []probe{box.ReadinessProbe, box.LivenessProbe} {
		if p.HTTPGet.Port != "http" {
			t.Errorf("a probe asks port %q", p.HTTPGet.Port)
		}
	}
	if box.ReadinessProbe.HTTPGet.Path != "/readyz" {
		t.Errorf("readiness is asked at %s", box.ReadinessProbe.HTTPGet.Path)
	}
	checkPaths(t, box.ReadinessProbe.HTTPGet.Path, box.LivenessProbe.HTTPGet.Path)

	if grace := time.Duration(pod.TerminationGracePeriodSeconds) * time.Second; c.DrainDelay == 0 || grace < c.DrainDelay+c.ShutdownTimeout+5*time.Second {
		t.Errorf("killed after %v, and drain-delay and shutdown-timeout take %v", grace, c.DrainDelay+c.ShutdownTimeout)
	}
	if c.TokenFile == "" || len(box.VolumeMounts) != 1 || filepath.Dir(c.TokenFile) != box.VolumeMounts[0].MountPath {
		t.Errorf("the token file %q is not in what is mounted, %v", c.TokenFile, box.VolumeMounts)
	}
	for _, e := range box.Env {
		if name, ours := strings.CutPrefix(e.Name, envPrefix); ours && f.Lookup(strings.ToLower(strings.ReplaceAll(name, "_", "-"))) == nil {
			t.Errorf("%s is no setting", e.Name)
		}
	}
	no := func(b *bool) bool { return b != nil && !*b }
	if !no(pod.EnableServiceLinks) || !no(pod.AutomountServiceAccountToken) || !no(box.SecurityContext.AllowPrivilegeEscalation) {
		t.Error("service links, the account's token or more privileges are not turned off")
	}
	if s := pod.SecurityContext; !s.RunAsNonRoot || s.RunAsUser == 0 || s.SeccompProfile.Type != "RuntimeDefault" ||
		!box.SecurityContext.ReadOnlyRootFilesystem || !slices.Equal(box.SecurityContext.Capabilities.Drop, []string{"ALL"}) {
		t.Errorf("the pod has more rights than it needs: %+v %+v", s, box.SecurityContext)
	}
	if deployment.Replicas < 2 || budget.MaxUnavailable != 1 || len(pod.TopologySpreadConstraints) < 2 {
		t.Errorf("%d replicas, %d may be taken away, %d constraints spread them", deployment.Replicas, budget.MaxUnavailable, len(pod.TopologySpreadConstraints))
	}
	label := deployment.Template.Metadata.Labels["app.kubernetes.io/name"]
	if label == "" || service.Selector["app.kubernetes.io/name"] != label {
		t.Errorf("the service selects %v, the pods are %q", service.Selector, label)
	}
	for kind, selector := range map[string]map[string]any{"deployment": deployment.Selector, "budget": budget.Selector} {
		if m, _ := selector["matchLabels"].(map[string]any); m["app.kubernetes.io/name"] != label {
			t.Errorf("the %s selects %v, the pods are %q", kind, selector, label)
		}
	}
}

func TestContainerfile(t *testing.T) {
	text := string(deployFile(t, "Containerfile"))
	last := text[strings.LastIndex(text, "\nFROM "):]
	list := func(instruction string) []string {
		t.Helper()
		m := regexp.MustCompile(`(?m)` + instruction + ` (\[.*\])$`).FindStringSubmatch(last)
		if m == nil {
			t.Fatalf("no %s in exec form", instruction)
		}
		var words []string
		if err := yaml.Unmarshal([]byte(m[1]), &words); err != nil {
			t.Fatal(err)
		}
		return words
	}
	c, _ := serveArgs(t, list("^CMD"))
	for _, address := range []string{c.HTTPAddress, c.GRPCAddress, c.MetricsAddress} {
		if p := strconv.Itoa(port(t, address)); !regexp.MustCompile(`(?m)^EXPOSE.*\b` + p + `\b`).MatchString(last) {
			t.Errorf("port %s is not exposed", p)
		}
	}
	check := list("^HEALTHCHECK .*CMD")
	if len(check) < 2 || !slices.Equal(list("^ENTRYPOINT"), check[:1]) || check[1] != "healthcheck" {
		t.Fatalf("the health check runs %q", check)
	}
	cmd := healthcheckCommand()
	if err := cmd.ParseFlags(check[2:]); err != nil {
		t.Fatal(err)
	}
	url, err := cmd.Flags().GetString("url")
	if err != nil || url != "http://127.0.0.1:"+strconv.Itoa(port(t, c.HTTPAddress))+"/readyz" {
		t.Errorf("the health check asks %s: %v", url, err)
	}
	if !regexp.MustCompile(`(?m)^USER [1-9][0-9]*:[1-9][0-9]*$`).MatchString(last) || !strings.HasPrefix(last, "\nFROM scratch\n") {
		t.Error("the image is not of the binary alone under a user that is not root")
	}
	module, err := os.ReadFile("../../go.mod")
	if err != nil {
		t.Fatal(err)
	}
	version := regexp.MustCompile(`(?m)^go (\d+\.\d+)`).FindSubmatch(module)[1]
	if !strings.Contains(text, "golang:"+string(version)+" ") {
		t.Errorf("the image is not built with Go %s of go.mod", version)
	}
}

func TestUnit(t *testing.T) {
	value := func(key string) string {
		t.Helper()
		m := regexp.MustCompile(`(?m)^` + key + `=(.*)$`).FindSubmatch(deployFile(t, "ozeq.service"))
		if m == nil {
			t.Fatalf("no %s", key)
		}
		return string(m[1])
	}
	// The settings of the unit, with those of the file it names.
	words := strings.Fields(value("ExecStart"))
	c, f := serveArgs(t, words[1:])
	if file, _ := f.GetString("config"); file != "/etc/ozeq/ozeq.yaml" {
		t.Errorf("the settings are read from %q", file)
	}
	if c.TokenFile != "%d/tokens" || value("LoadCredential") != "tokens:/etc/ozeq/tokens" {
		t.Errorf("the token file is %q, the credential %q", c.TokenFile, value("LoadCredential"))
	}
	if err := f.Set("config", deploy+"ozeq.yaml"); err != nil {
		t.Fatal(err)
	}
	if err := settle(f, nil); err != nil {
		t.Fatal(err)
	}
	c.TokenFile = ""
	if err := c.Check(); err != nil {
		t.Fatal(err)
	}
	seconds, err := strconv.Atoi(value("TimeoutStopSec"))
	if err != nil {
		t.Fatal(err)
	}
	if stop := time.Duration(seconds) * time.Second; c.DrainDelay == 0 || stop < c.DrainDelay+c.ShutdownTimeout+5*time.Second {
		t.Errorf("killed after %v, and drain-delay and shutdown-timeout take %v", stop, c.DrainDelay+c.ShutdownTimeout)
	}
	files, err := strconv.Atoi(value("LimitNOFILE"))
	if err != nil || files < 3*server.Default().MaxConnections {
		t.Errorf("%d files for three times %d connections: %v", files, server.Default().MaxConnections, err)
	}
}

func get(h http.Handler, path string) int {
	w := httptest.NewRecorder()
	h.ServeHTTP(w, httptest.NewRequest("GET", path, nil))
	return w.Code
}
