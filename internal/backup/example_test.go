package backup_test

import (
	"fmt"

	"midcase/internal/backup"
)

// A place is named by a path, or by the address of S3 storage.
func ExampleAt() {
	_, err := backup.At("ftp://elsewhere/shop")
	fmt.Println(err)
	// Output:
	// "ftp://elsewhere/shop" is no place for backups: give a folder, or s3://HOST/BUCKET/PREFIX
}
