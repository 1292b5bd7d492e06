package rules

import "runtime/debug"

// Roomy lets memory grow to five times what is held before it is collected. Every
// check leaves a few megabytes behind; on a small heap, collecting them at once
// would take a quarter of its time. The programs run so, and so they are measured.
func Roomy() { debug.SetGCPercent(400) }
