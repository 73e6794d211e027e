package backup

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net/http"
	"net/url"
	"os"
	"path"
	"strings"

	"github.com/minio/minio-go/v7"
	"github.com/minio/minio-go/v7/pkg/credentials"
)

// The environment with which S3 storage is reached.
const (
	s3KeyVariable    = "MIDCASE_S3_KEY"
	s3SecretVariable = "MIDCASE_S3_SECRET"
	s3RegionVariable = "MIDCASE_S3_REGION" // where the storage wants one
)

// bucket is a place in S3 storage.
type bucket struct {
	client         *minio.Client
	bucket, prefix string
}

// openS3 opens s3://HOST/BUCKET/PREFIX; s3+http:// is without TLS, for storage on this machine.
func openS3(where string) (Place, error) {
	u, err := url.Parse(where)
	if err != nil {
		return nil, fmt.Errorf("%q: want s3://HOST/BUCKET/PREFIX", where)
	}
	name, prefix, _ := strings.Cut(strings.Trim(u.Path, "/"), "/")
	if u.Host == "" || name == "" {
		return nil, fmt.Errorf("%q: want s3://HOST/BUCKET/PREFIX", where)
	}
	key, secret := os.Getenv(s3KeyVariable), os.Getenv(s3SecretVariable)
	if key == "" || secret == "" {
		return nil, fmt.Errorf("S3 storage wants its key in %s and its secret in %s", s3KeyVariable, s3SecretVariable)
	}
	return newBucket(u.Host, name, prefix, &minio.Options{Creds: credentials.NewStaticV4(key, secret, ""),
		Secure: u.Scheme == "s3", Region: os.Getenv(s3RegionVariable), BucketLookup: minio.BucketLookupPath})
}

func newBucket(host, name, prefix string, opt *minio.Options) (Place, error) {
	c, err := minio.New(host, opt)
	if err != nil {
		return nil, fmt.Errorf("S3 storage %s: %w", host, err)
	}
	return &bucket{c, name, prefix}, nil
}

func (b *bucket) key(name string) string { return path.Join(b.prefix, name) }

// Put implements Place. S3 storage shows an object only when it is whole.
func (b *bucket) Put(ctx context.Context, name string, r io.Reader, size int64) error {
	_, err := b.client.PutObject(ctx, b.bucket, b.key(name), r, size, minio.PutObjectOptions{})
	return b.says(err)
}

// Get implements Place.
func (b *bucket) Get(ctx context.Context, name string) (io.ReadCloser, error) {
	o, err := b.client.GetObject(ctx, b.bucket, b.key(name), minio.GetObjectOptions{})
	if err != nil {
		return nil, b.says(err)
	}
	if _, err := o.Stat(); err != nil {
		return nil, errors.Join(b.says(err), o.Close())
	}
	return o, nil
}

// List implements Place.
func (b *bucket) List(ctx context.Context, folder string) ([]string, error) {
	ctx, stop := context.WithCancel(ctx)
	defer stop() // ends the listing where it is left early
	var out []string
	for o := range b.client.ListObjects(ctx, b.bucket, minio.ListObjectsOptions{Prefix: b.key(folder) + "/",
		Recursive: true}) {
		if o.Err != nil {
			return nil, b.says(o.Err)
		}
		out = append(out, strings.TrimPrefix(strings.TrimPrefix(o.Key, b.prefix), "/"))
	}
	return out, nil
}

// Remove implements Place.
func (b *bucket) Remove(ctx context.Context, name string) error {
	return b.says(b.client.RemoveObject(ctx, b.bucket, b.key(name), minio.RemoveObjectOptions{}))
}

// says puts an error of the storage into words; a file that is not there is fs.ErrNotExist.
func (b *bucket) says(err error) error {
	if err == nil {
		return nil
	}
	answer := minio.ToErrorResponse(err)
	switch {
	case answer.Code == "NoSuchKey":
		return fs.ErrNotExist
	case answer.StatusCode == http.StatusForbidden:
		return fmt.Errorf("S3 storage refuses: %s; check %s and %s", answer.Message, s3KeyVariable, s3SecretVariable)
	}
	return fmt.Errorf("S3 storage, bucket %s: %w", b.bucket, err)
}
