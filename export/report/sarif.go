package report

import (
	"encoding/json"
	"io"

	"rigline/rules"
)

// SARIF writes the findings as SARIF 2.1.0, so that an editor or a review page can
// show them at their lines.
func SARIF(w io.Writer, d Document, book []*rules.Rule) error {
	type text struct {
		Text string `json:"text"`
	}
	type region struct {
		Line   int `json:"startLine"`
		Column int `json:"startColumn"`
	}
	type physical struct {
		Artifact struct {
			URI string `json:"uri"`
		} `json:"artifactLocation"`
		Region *region `json:"region,omitempty"`
	}
	type location struct {
		Physical physical `json:"physicalLocation"`
	}
	type suppression struct {
		Kind          string `json:"kind"`
		Justification string `json:"justification"`
	}
	type result struct {
		RuleID       string        `json:"ruleId"`
		Level        string        `json:"level"`
		Message      text          `json:"message"`
		Locations    []location    `json:"locations"`
		Suppressions []suppression `json:"suppressions,omitempty"`
	}
	type rule struct {
		ID    string `json:"id"`
		Short text   `json:"shortDescription"`
		Full  text   `json:"fullDescription"`
	}
	type driver struct {
		Name  string `json:"name"`
		Rules []rule `json:"rules"`
	}
	type run struct {
		Tool struct {
			Driver driver `json:"driver"`
		} `json:"tool"`
		Results []result `json:"results"`
	}
	levels := map[string]string{"danger": "error", "violation": "warning", "advice": "note", "unchecked": "note"}
	r := run{Results: []result{}}
	r.Tool.Driver = driver{Name: "rigcheck", Rules: []rule{}}
	for _, x := range book {
		r.Tool.Driver.Rules = append(r.Tool.Driver.Rules, rule{x.ID, text{x.Title}, text{x.Must}})
	}
	for _, f := range append(append([]Finding{}, d.Findings...), d.Unchecked...) {
		out := result{RuleID: f.Rule, Level: levels[f.Severity], Message: text{f.Says}}
		var at physical
		at.Artifact.URI = d.File
		if f.Line > 0 {
			at.Region = &region{f.Line, f.Column}
		}
		out.Locations = []location{{at}}
		if f.Accepted != nil {
			out.Suppressions = []suppression{{"external", f.Accepted.Reason}}
		}
		r.Results = append(r.Results, out)
	}
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	return e.Encode(struct {
		Schema  string `json:"$schema"`
		Version string `json:"version"`
		Runs    []run  `json:"runs"`
	}{"https://json.schemastore.org/sarif-2.1.0.json", "2.1.0", []run{r}})
}
