package server_test

import (
	"context"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"time"

	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/rules"
	"example.com/ozeq/pkg/rules/patterns"
	"example.com/ozeq/pkg/server"
)

func exampleData() server.Data {
	rs, err := rules.Default()
	if err != nil {
		panic(err)
	}
	cat, err := food.Default()
	if err != nil {
		panic(err)
	}
	ps, err := patterns.Default()
	if err != nil {
		panic(err)
	}
	return server.Data{Rules: rs, Catalog: cat, Patterns: ps}
}

// A program with an HTTP server of its own takes the door as a handler.
func ExampleServer_Handler() {
	s, err := server.New(server.Config{}, exampleData())
	if err != nil {
		fmt.Println(err)
		return
	}
	s.SetReady(true)
	web := httptest.NewServer(s.Handler())
	defer web.Close()
	resp, err := http.Post(web.URL+"/v1/recipes:credit", "application/json", strings.NewReader(`{
		"recipe": {"name": "Drop biscuit", "servings": 40, "exhibitAGroup": "B",
			"ingredients": [{"food": "whole-wheat-flor", "quantity": "2 lb"}]},
		"serviceDate": "2026-09-14", "program": "school-breakfast"}`))
	if err != nil {
		fmt.Println(err)
		return
	}
	defer resp.Body.Close()
	body, _ := io.ReadAll(resp.Body)
	fmt.Println(resp.StatusCode, strings.Contains(string(body), `"reason":"UNKNOWN_FOOD","path":"recipe.ingredients[0].food"`))
	// Output:
	// 400 true
}

// Serve answers until its context ends, and returns when what it had accepted
// is answered.
func ExampleServer_Serve() {
	s, err := server.New(server.Config{GRPCAddress: "127.0.0.1:0", HTTPAddress: "127.0.0.1:0", MetricsAddress: server.Off}, exampleData())
	if err != nil {
		fmt.Println(err)
		return
	}
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	stopped := make(chan error)
	go func() { stopped <- s.Serve(ctx) }()
	for s.Addr("http") == nil {
		time.Sleep(time.Millisecond)
	}
	resp, err := http.Get("http://" + s.Addr("http").String() + "/livez")
	if err != nil {
		fmt.Println(err)
		return
	}
	resp.Body.Close()
	http.DefaultClient.CloseIdleConnections()
	fmt.Println(resp.StatusCode)
	stop()
	fmt.Println(<-stopped)
	// Output:
	// 200
	// <nil>
}

// Every mistake in the settings comes back at once.
func ExampleConfig_Check() {
	c := server.Default()
	c.HTTPAddress = "8080"
	c.MaxConcurrent = -3
	fmt.Println(c.Check())
	// Output:
	// http-address: "8080" is no address; write host:port, such as 127.0.0.1:8080, or off
	// max-concurrent: -3: write a number above 0
}

// The token goes to the caller, the line to the token file.
func ExampleNewToken() {
	token, line := server.NewToken()
	fmt.Println(len(token), len(line))
	// Output:
	// 43 64
}
