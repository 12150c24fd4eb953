package folder_test

import (
	"fmt"
	"log"
	"os"
	"path/filepath"

	"example.org/rungs/workouts/folder"
)

// The training folder is found from any folder inside it.
func ExampleFind() {
	home, err := os.MkdirTemp("", "training")
	if err != nil {
		log.Fatal(err)
	}
	defer os.RemoveAll(home)
	inside := filepath.Join(home, "2026", "autumn")
	if err := os.MkdirAll(inside, 0o755); err != nil {
		log.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(home, folder.Log), nil, 0o644); err != nil {
		log.Fatal(err)
	}
	f, found := folder.Find(inside)
	fmt.Println(found, f.Path == home, f.PlanPath() == "")
	// Output: true true true
}
