// Package deploy holds the test that the Kubernetes files under deploy have no
// field that Kubernetes does not know.
package deploy

import (
	"bytes"
	"os"
	"testing"

	appsv1 "k8s.io/api/apps/v1"
	corev1 "k8s.io/api/core/v1"
	policyv1 "k8s.io/api/policy/v1"
	"sigs.k8s.io/yaml"
)

func TestFieldsAreKubernetes(t *testing.T) {
	data, err := os.ReadFile("../../deploy/kubernetes.yaml")
	if err != nil {
		t.Fatal(err)
	}
	seen := 0
	for _, doc := range bytes.Split(data, []byte("\n---\n")) {
		var kind struct{ APIVersion, Kind string }
		if err := yaml.Unmarshal(doc, &kind); err != nil {
			t.Fatal(err)
		}
		into, ok := map[string]any{
			"apps/v1 Deployment":            new(appsv1.Deployment),
			"v1 Service":                    new(corev1.Service),
			"policy/v1 PodDisruptionBudget": new(policyv1.PodDisruptionBudget),
		}[kind.APIVersion+" "+kind.Kind]
		if !ok {
			t.Errorf("%s %s is not known to this test", kind.APIVersion, kind.Kind)
			continue
		}
		if err := yaml.UnmarshalStrict(doc, into); err != nil {
			t.Errorf("%s: %v", kind.Kind, err)
		}
		seen++
	}
	if seen != 3 {
		t.Errorf("%d objects", seen)
	}
	if err := yaml.UnmarshalStrict([]byte("spec: {replica: 2}"), new(appsv1.Deployment)); err == nil {
		t.Error("an unknown field is not noticed")
	}
}
