package client_test

import (
	"fmt"
	"net"
	"os"
	"path/filepath"
	"testing"
	"time"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/types/known/timestamppb"

	pb "gauged/api/gauged/v1"
	"gauged/client"
)

// TestOverTLS: a closed station is reached over TLS, with its own authority and a token from a
// file. A new token in the file is taken without a new connection; without one, or without
// the authority, nobody comes in.
func TestOverTLS(t *testing.T) {
	free, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	_, port, _ := net.SplitHostPort(free.Addr().String())
	if err := free.Close(); err != nil {
		t.Fatal(err)
	}
	b := newBench(fmt.Sprintf("tls: {own: yes, names: [127.0.0.1]}\nlisten: {grpc: [unix://s, \"0.0.0.0:%s\"]}\n", port))
	t.Cleanup(b.close)
	secret := func() string {
		t.Helper()
		answer, err := pb.NewAccessServiceClient(dial(t, "unix://"+b.socket).Conn()).MakeToken(t.Context(), &pb.MakeTokenRequest{
			Name: "press-1", Role: pb.Role_ROLE_STATION, GaugeIds: []string{"press"}, ExpireTime: timestamppb.New(time.Now().Add(time.Hour)),
		})
		if err != nil {
			t.Fatal(err)
		}
		return answer.GetSecret()
	}
	file, authority := filepath.Join(b.dir, "token"), filepath.Join(b.dir, "tls", "authority.pem")
	write := func(text string) {
		t.Helper()
		if err := os.WriteFile(file, []byte(text+"\n"), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	come := func(o client.Options) *client.Client {
		t.Helper()
		c, err := client.Dial("127.0.0.1:"+port, o)
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { _ = c.Close() })
		return c
	}
	list := func(c *client.Client) error {
		_, err := pb.NewGaugeServiceClient(c.Conn()).ListGauges(t.Context(), &pb.ListGaugesRequest{})
		return err
	}
	if err := list(come(client.Options{Authority: authority})); status.Code(err) != codes.Unauthenticated {
		t.Errorf("without a token: %v", err)
	}
	write("wrong")
	c := come(client.Options{Authority: authority, TokenFile: file})
	if r, _ := client.RefusalOf(list(c)); r.Reason == "" {
		t.Error("a wrong token is refused without a reason")
	}
	write(secret())
	if err := list(c); err != nil {
		t.Errorf("with a token: %v", err)
	}
	fill(t, c, 10, func(int) {})
	wantAll(t, c, 10)
	if err := list(come(client.Options{TokenFile: file})); status.Code(err) != codes.Unavailable {
		t.Errorf("without the authority: %v", err)
	}
	for what, o := range map[string]client.Options{
		"a token that is not there":      {Authority: authority, TokenFile: file + ".gone"},
		"an authority that is none":      {Authority: file, TokenFile: file},
		"a certificate without its key":  {Authority: authority, Certificate: authority},
		"an authority that is not there": {Authority: file + ".gone"},
	} {
		if _, err := client.Dial("127.0.0.1:"+port, o); err == nil || len(err.Error()) < 20 {
			t.Errorf("%s: %v", what, err)
		}
	}
}
