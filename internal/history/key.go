package history

import (
	"crypto/ed25519"
	"crypto/rand"
	"crypto/x509"
	"encoding/pem"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"gauged/internal/readfile"
)

// keySuffix names the file beside the history that has the station's key.
const keySuffix = ".key"

// keyMode lets its owner alone read the key.
const keyMode = 0o600

// stationKey reads the key beside a history, or makes one; nobody else may read it.
func stationKey(p place) (ed25519.PrivateKey, error) {
	if p.vfs != "" {
		_, key, err := ed25519.GenerateKey(rand.Reader) // the disk of a test has no other files
		return key, err
	}
	path := p.path + keySuffix
	key, err := ReadKey(path)
	if errors.Is(err, fs.ErrNotExist) {
		return makeKey(p, path)
	}
	if err != nil {
		return nil, err
	}
	if info, err := os.Stat(path); err == nil && info.Mode().Perm()&^keyMode != 0 {
		err = os.Chmod(path, keyMode)
		if err != nil {
			return nil, fmt.Errorf("the station's key %s may be read by others: %w", path, err)
		}
	}
	return key, nil
}

// ReadKey reads the key of a station from its file.
func ReadKey(path string) (ed25519.PrivateKey, error) {
	content, err := readfile.Whole(path, longestBeside)
	if err != nil {
		return nil, fmt.Errorf("read the station's key: %w", err)
	}
	if block, _ := pem.Decode(content); block != nil {
		parsed, err := x509.ParsePKCS8PrivateKey(block.Bytes)
		if key, ok := parsed.(ed25519.PrivateKey); err == nil && ok {
			return key, nil
		}
	}
	return nil, fmt.Errorf("%s is no key of a station: it is to have a private key of ed25519 as PKCS #8 in PEM; bring it back from a backup, or move it away and a new one is made", path)
}

func makeKey(p place, path string) (_ ed25519.PrivateKey, err error) {
	_, key, err := ed25519.GenerateKey(rand.Reader)
	if err != nil {
		return nil, err
	}
	content, err := x509.MarshalPKCS8PrivateKey(key)
	if err != nil {
		return nil, err
	}
	// It gets its name when it is whole and on the disk. CreateTemp gives its mode.
	file, err := os.CreateTemp(filepath.Dir(path), ".gauged-key-")
	if err != nil {
		return nil, fmt.Errorf("make the station's key: %w", err)
	}
	err = pem.Encode(file, &pem.Block{Type: "PRIVATE KEY", Bytes: content})
	err = errors.Join(err, file.Sync(), file.Close())
	if err == nil {
		err = os.Rename(file.Name(), path)
	}
	if err != nil {
		return nil, errors.Join(fmt.Errorf("make the station's key %s: %w", path, err), os.Remove(file.Name()))
	}
	return key, p.syncDir(filepath.Dir(path))
}

// PublicKey is the public half of the station's key.
func (s *Store) PublicKey() ed25519.PublicKey { return s.key.Public().(ed25519.PublicKey) }
