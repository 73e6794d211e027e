package staff

// The tests work on hundreds of passwords, so that each costs little.
func init() { hashing.Memory, hashing.Iterations = 1<<10, 1 }
