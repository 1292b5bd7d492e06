package report

import (
	"encoding/json"
	"io"
	"net/url"
	"path/filepath"

	"rigline/rules"
)

// The parts of a SARIF 2.1.0 log that are written here, by their names there.
type (
	sarifLog struct {
		Schema  string     `json:"$schema"`
		Version string     `json:"version"`
		Runs    []sarifRun `json:"runs"`
	}
	sarifRun struct {
		Tool       sarifTool     `json:"tool"`
		ColumnKind string        `json:"columnKind"`
		Results    []sarifResult `json:"results"`
	}
	sarifTool struct {
		Driver sarifDriver `json:"driver"`
	}
	sarifDriver struct {
		Name  string      `json:"name"`
		Rules []sarifRule `json:"rules"`
	}
	sarifRule struct {
		ID            string      `json:"id"`
		Short         sarifText   `json:"shortDescription"`
		Full          sarifText   `json:"fullDescription"`
		Configuration sarifConfig `json:"defaultConfiguration"`
	}
	sarifConfig struct {
		Level string `json:"level"`
	}
	sarifText struct {
		Text string `json:"text"`
	}
	sarifResult struct {
		RuleID       string             `json:"ruleId"`
		Kind         string             `json:"kind"`
		Level        string             `json:"level"`
		Message      sarifText          `json:"message"`
		Locations    []sarifLocation    `json:"locations"`
		Suppressions []sarifSuppression `json:"suppressions,omitempty"`
		Properties   sarifProperties    `json:"properties"`
	}
	sarifLocation struct {
		Physical sarifPhysical  `json:"physicalLocation"`
		Logical  []sarifLogical `json:"logicalLocations"`
	}
	sarifPhysical struct {
		Artifact sarifArtifact `json:"artifactLocation"`
		Region   *sarifRegion  `json:"region,omitempty"`
	}
	sarifArtifact struct {
		URI string `json:"uri"`
	}
	sarifRegion struct {
		Line   int `json:"startLine"`
		Column int `json:"startColumn"`
	}
	sarifLogical struct {
		Name string `json:"fullyQualifiedName"`
	}
	sarifSuppression struct {
		Kind          string `json:"kind"`
		Justification string `json:"justification"`
	}
	sarifProperties struct {
		States  []string `json:"states"`
		Working []string `json:"working"`
		Repairs []string `json:"repairs"`
	}
)

// sarifLevels are the levels by ours. What could not be checked is of the kind
// "open", which has no level.
var sarifLevels = map[string]string{"danger": "error", "violation": "warning", "advice": "note"}

// SARIF writes the findings as SARIF 2.1.0, so that an editor or a review page can
// show them at their lines. Columns count characters.
func SARIF(w io.Writer, d Document, book []*rules.Rule) error {
	run := sarifRun{ColumnKind: "unicodeCodePoints", Results: []sarifResult{}}
	run.Tool.Driver = sarifDriver{Name: "rigcheck", Rules: []sarifRule{}}
	for _, r := range book {
		run.Tool.Driver.Rules = append(run.Tool.Driver.Rules, sarifRule{r.ID, sarifText{r.Title}, sarifText{r.Must}, sarifConfig{sarifLevels[r.Level.String()]}})
	}
	for _, f := range d.Findings {
		run.Results = append(run.Results, f.sarif(d.File, "fail", sarifLevels[f.Severity]))
	}
	for _, f := range d.Unchecked {
		run.Results = append(run.Results, f.sarif(d.File, "open", "none"))
	}
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(sarifLog{"https://json.schemastore.org/sarif-2.1.0.json", "2.1.0", []sarifRun{run}})
}

func (f Finding) sarif(file, kind, level string) sarifResult {
	at := sarifLocation{Physical: sarifPhysical{Artifact: sarifArtifact{fileURI(file)}}}
	if f.Line > 0 {
		at.Physical.Region = &sarifRegion{f.Line, f.Column}
	}
	for _, address := range f.On {
		at.Logical = append(at.Logical, sarifLogical{address})
	}
	out := sarifResult{RuleID: f.Rule, Kind: kind, Level: level, Message: sarifText{sentence(f.Says)}, Locations: []sarifLocation{at}}
	out.Properties = sarifProperties{States: f.States, Working: f.Working, Repairs: []string{}}
	for _, x := range f.Fixes {
		out.Properties.Repairs = append(out.Properties.Repairs, x.Says)
	}
	if f.Accepted != nil {
		out.Suppressions = []sarifSuppression{{"external", f.Accepted.Reason}}
	}
	return out
}

// fileURI is a path as a URI reference, its odd characters escaped.
func fileURI(path string) string {
	u := url.URL{Path: filepath.ToSlash(path)}
	if filepath.IsAbs(path) {
		u.Scheme = "file"
	}
	return u.String()
}
