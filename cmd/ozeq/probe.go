package main

import (
	"crypto/tls"
	"fmt"
	"net/http"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"example.com/ozeq/pkg/server"
)

func healthcheckCommand() *cobra.Command {
	url, wait := "http://"+server.Default().HTTPAddress+"/readyz", 2*time.Second
	insecure := false
	cmd := &cobra.Command{
		Use:   "healthcheck",
		Short: "Ask a running service whether it is ready",
		Long:  "Ask a running service whether it is ready: exit code 0 when it is, 1 when not.\nFor probes of containers that hold no other program.",
		Args:  cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			client := &http.Client{Timeout: wait, Transport: &http.Transport{TLSClientConfig: &tls.Config{InsecureSkipVerify: insecure}}}
			r, err := client.Get(url)
			if err != nil {
				fmt.Fprintln(cmd.ErrOrStderr(), "ozeq: not ready:", err)
				return exit(exitInternal)
			}
			defer r.Body.Close()
			if r.StatusCode != http.StatusOK {
				fmt.Fprintln(cmd.ErrOrStderr(), "ozeq: not ready:", strings.ToLower(r.Status))
				return exit(exitInternal)
			}
			fmt.Fprintln(cmd.OutOrStdout(), "ready")
			return nil
		},
	}
	cmd.Flags().StringVar(&url, "url", url, "where to ask")
	cmd.Flags().DurationVar(&wait, "timeout", wait, "how long to wait")
	cmd.Flags().BoolVar(&insecure, "insecure", false, "do not check the certificate, for a name that is not this host's")
	return cmd
}

func tokenCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "token",
		Short: "Make a bearer token and its line for the token file",
		Long:  paragraphs("Make a bearer token. Give the token to the caller, who sends it with every request; put the line, which is its hash, into the file that `ozeq serve --token-file` reads. The token itself is kept nowhere."),
		Args:  cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			token, line := server.NewToken()
			fmt.Fprintf(cmd.OutOrStdout(), "token  %s\nline   %s\n", token, line)
			return nil
		},
	}
}
