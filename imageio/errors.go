package imageio

// JoinPath puts the path of a photo, where there is one, before the name of something on it.
func JoinPath(path, name string) string {
	if path == "" {
		return name
	}
	return path + ": " + name
}
