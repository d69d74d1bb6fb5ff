package history

import (
	"context"
	"crypto/ed25519"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"gauged/internal/readfile"

	"github.com/spf13/cobra"

	"gauged/internal/cli/app"
	store "gauged/internal/history"
	"gauged/internal/history/chain"
	"gauged/internal/wire"

	pb "gauged/api/gauged/v1"
)

// longTimeout is how long a walk through the whole history may take when --timeout is not
// given.
const longTimeout = replayTimeout

func historyVerifyCommand(a *app.App) *cobra.Command {
	var head, key string
	cmd := &cobra.Command{
		Use:   "verify [FILE]",
		Short: "Prove that what is stored is what was stored",
		Long: "Walk along the chain over all facts and name the first that is not what was stored:\n" +
			"changed, missing, put in, moved. With FILE the file of a history is read, without a\n" +
			"daemon; else the daemon reads its own. Nothing is written.\n" +
			"\n" +
			"--head compares with a head: of a sheet, of status, of an earlier time. Where it agrees, the\n" +
			"history is what it was then up to that number, and nothing was cut off. A head is the line, a\n" +
			"file that has the line in it, or a number and 16 or more digits of the digest.\n" +
			"\n" +
			"The exit code is 4 when something differs. Without --timeout it may take 10 minutes.",
		Example: "  gaugectl history verify\n" +
			"  gaugectl history verify backup/history.db --key 5d2f...\n" +
			"  gaugectl history verify --head '48213 9f86d081884c7d65'",
		Args: app.Arguments(0, 1),
	}
	cmd.Flags().StringVar(&head, "head", "", "a head that the history must agree with, or a file that has one")
	cmd.Flags().StringVar(&key, "key", "", "with FILE: public key of the station, as status shows it; else that of the key beside FILE")
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		text, err := headText(head)
		if err != nil {
			return err
		}
		a.Running = true
		if len(args) == 1 {
			answer, err := verifyFile(cmd.Context(), args[0], text, key)
			if err != nil {
				return err
			}
			return showVerification(a, answer, text != "")
		}
		if key != "" {
			a.Running = false
			return app.Usagef("--key is for a FILE: the daemon has its own")
		}
		return a.WithDaemon(func(ctx context.Context, d *app.Daemon, _ []string) error {
			if !cmd.Flags().Changed("timeout") {
				d.Timeout = longTimeout
			}
			answer, err := app.Ask(ctx, d, d.History.VerifyHistory, &pb.VerifyHistoryRequest{Head: text})
			if err != nil {
				return err
			}
			return showVerification(a, answer, text != "")
		})(cmd, args)
	}
	return cmd
}

// headText is the head that was given, or the text of the file that was named instead.
func headText(given string) (string, error) {
	text := given
	if _, err := os.Stat(given); err == nil {
		content, err := readfile.Whole(given, app.LongestFile)
		if err != nil {
			return "", err
		}
		text = string(content)
	}
	if text == "" {
		return "", nil
	}
	heads, err := chain.ParseHeads(text)
	if err != nil {
		return "", app.Usagef("--head: %v", err)
	}
	var lines []string
	for _, h := range heads {
		lines = append(lines, h.String())
	}
	return strings.Join(lines, "\n"), nil
}

func verifyFile(ctx context.Context, path, head, key string) (*pb.VerifyHistoryResponse, error) {
	public, err := publicKey(path, key)
	if err != nil {
		return nil, err
	}
	var heads []chain.Head
	var signed *bool
	if head != "" {
		if heads, err = chain.ParseHeads(head); err != nil {
			return nil, err
		}
		if public != nil {
			signed = chain.Signed(heads, public)
		}
	}
	v, err := store.CheckFile(ctx, path, heads...)
	if err != nil {
		return nil, err
	}
	return wire.Verification(v, signed), nil
}

// publicKey is the key that was given, or that of the key beside the file; nil: there is none.
func publicKey(path, given string) (ed25519.PublicKey, error) {
	if given != "" {
		key, err := hex.DecodeString(given)
		if err != nil || len(key) != ed25519.PublicKeySize {
			return nil, app.Usagef("--key: %q is no public key: %d hexadecimal digits", given, 2*ed25519.PublicKeySize)
		}
		return key, nil
	}
	key, err := store.ReadKey(filepath.Clean(path) + ".key")
	if err != nil {
		return nil, nil // it is said that the signature was not checked
	}
	return key.Public().(ed25519.PublicKey), nil
}

func showVerification(a *app.App, answer *pb.VerifyHistoryResponse, head bool) error {
	return errors.Join(a.Show(answer, func(w io.Writer) { renderVerification(w, answer, head) }), verificationError(answer))
}

func renderVerification(w io.Writer, r *pb.VerifyHistoryResponse, head bool) {
	if r.GetDifference() == nil {
		fmt.Fprintf(w, "All %d facts are what was stored.\n", r.GetThroughSeq())
	} else {
		fmt.Fprintf(w, "Facts 1 to %d are what was stored.\n", r.GetThroughSeq())
	}
	fmt.Fprintf(w, "The chain ends with fact %d, digest %x.\n", r.GetThroughSeq(), r.GetDigest())
	if n := r.GetUpgradedThroughSeq(); n > 0 {
		fmt.Fprintf(w, "Facts 1 to %d were stored before there was a chain: they are what they were at the upgrade.\n", n)
	}
	if !head {
		return
	}
	if r.GetHeadHeld() {
		fmt.Fprintln(w, "The head agrees: up to its number the history is what it was then.")
	}
	switch {
	case r.HeadSigned == nil:
		fmt.Fprintln(w, "Its signature was not checked: it has none, or there is no key at hand.")
	case r.GetHeadSigned():
		fmt.Fprintln(w, "It is signed by the key of this station.")
	}
}

func verificationError(r *pb.VerifyHistoryResponse) error {
	var problems []string
	if d := r.GetDifference(); d != nil {
		problems = append(problems, d.GetText())
	}
	if r.HeadSigned != nil && !r.GetHeadSigned() {
		problems = append(problems, "the head is not signed by the key of this station")
	}
	if len(problems) == 0 {
		return nil
	}
	return app.NotPassedf("the history is not what was stored: %s; keep the file as it is, and compare it with a backup", strings.Join(problems, "; "))
}
