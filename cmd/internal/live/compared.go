// Several photos side by side, from the documents that the page has.

package live

import (
	"encoding/json"
	"errors"
	"fmt"

	"quadrille/cmd/internal/compare"
	"quadrille/cmd/internal/report"
	"quadrille/cmd/internal/wire"
)

const (
	// maxCompared is the most documents in one comparison: one for each letter that they are called by.
	// TestWhatIsNoComparisonIsRefused would notice.
	maxCompared = 26
	// maxResults is the most results of one of them. Eight traces have 200; pairs grow with the square.
	// TestWhatIsNoComparisonIsRefused would notice.
	maxResults = 500
)

// A Compared is what the page shows of several photos side by side.
type Compared struct {
	// of HTTP: 200; 400 for what is no list of documents; 422 where they have nothing in common
	Status     int                 `json:"status"`
	Comparison *compare.Comparison `json:"comparison"` // null but with 200
	Page       string              `json:"page"`       // the page of a comparison as HTML; "" but with 200
	Error      *wire.Error         `json:"error"`      // null with 200
}

// Compare lays documents side by side, in the order given. The JSON has a list "documents" of wire.Document, a "title",
// and a list "instruments" with the name of each one's instrument; the last two may be left out.
func Compare(given []byte) *Compared {
	var in struct {
		Title       string            `json:"title"`
		Documents   []json.RawMessage `json:"documents"`
		Instruments []string          `json:"instruments"`
	}
	refused := func(why error) *Compared {
		return &Compared{Status: 400, Error: &wire.Error{Kind: "setting", Reason: why.Error(),
			Hint: "read each photo until it has an answer, then compare them again"}}
	}
	if err := json.Unmarshal(given, &in); err != nil {
		return refused(fmt.Errorf("this is no list of readings: %w", err))
	}
	if len(in.Documents) < 2 || len(in.Documents) > maxCompared {
		return refused(fmt.Errorf("two to %d readings are compared, not %d", maxCompared, len(in.Documents)))
	}
	documents := make([]*wire.Document, len(in.Documents))
	for i, text := range in.Documents {
		d, err := wire.Decode(text)
		if err == nil && d.Error != nil {
			err = errors.New(d.Error.Reason)
		}
		if err == nil && len(d.Results) > maxResults {
			err = fmt.Errorf("it has more than %d results", maxResults)
		}
		if err != nil {
			return refused(fmt.Errorf("reading %s: %w", compare.NameOf(i), err))
		}
		documents[i] = d
	}
	c, err := compare.Of(documents, compare.Options{Title: in.Title, Instruments: in.Instruments})
	if none := (*compare.NothingSharedError)(nil); errors.As(err, &none) {
		return &Compared{Status: 422, Error: &wire.Error{Kind: "analysis", Reason: none.Reason, Hint: wire.Text(none.Hint)}}
	}
	if err != nil {
		return refused(err)
	}
	return &Compared{Status: 200, Comparison: c, Page: string(report.ComparedPage(c))}
}
