package checks

// count is so many of a thing in words: "1 string", "3 strings".
func count(n float64, one, several string) string {
	if n == 1 {
		return "1 " + one
	}
	return numText(n) + " " + several
}
