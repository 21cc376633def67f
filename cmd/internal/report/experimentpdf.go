// The pages of an experiment as one PDF: a first page with all answers, what was compared, each photo from a new page
// on, and in the appendix all budgets, the cautions and where each number comes from.

package report

import (
	"sync"

	"quadrille/cmd/internal/report/words"
)

// ExperimentFiles are sheet.html, sheet.pdf and sheet.json, and in a folder for each photo that was read what FilesOf
// gives. The same experiment gives the same bytes.
func ExperimentFiles(e *Experiment, print Print) (map[string][]byte, error) {
	print.say = words.AsKeys
	files := map[string][]byte{}
	var lock sync.Mutex
	var wait sync.WaitGroup
	var failed error
	beside := func(in string, of func() (map[string][]byte, error)) {
		wait.Go(func() {
			made, err := of()
			lock.Lock()
			defer lock.Unlock()
			if err != nil {
				failed = err
			}
			for name, content := range made {
				files[in+name] = content
			}
		})
	}
	beside("", func() (map[string][]byte, error) {
		text, err := ExperimentJSON(e)
		return map[string][]byte{"sheet.json": text, "sheet.html": ExperimentPage(e, print)}, err
	})
	beside("", func() (map[string][]byte, error) {
		return map[string][]byte{"sheet.pdf": ExperimentPDF(e, print)}, nil
	})
	for i := range e.Photos {
		if p := &e.Photos[i]; p.Document.Error == nil {
			beside(p.Folder+"/", func() (map[string][]byte, error) { return FilesOf(p.Document, p.Pictures, p.sayingIn(print)) })
		}
	}
	wait.Wait()
	return files, failed
}

// ExperimentPDF is sheet.pdf.
func ExperimentPDF(e *Experiment, print Print) []byte {
	v := experimentViewOf(e, print)
	s := newSheet(v.Title, print)
	s.words(titleSize, "B", inkColour, v.Title)
	if v.Origin != "" {
		s.words(bodySize, "", quietColour, v.Origin)
	}
	if len(v.Remarks) > 0 {
		s.barred("Look at this before you use the numbers", doubtColour, v.Remarks)
	}
	s.head("The answers", 20)
	var list []setting
	for k := range v.Parts {
		list = append(list, setting{Name: v.Parts[k].Heading, Value: v.Parts[k].inALine()})
	}
	s.entries(list, sheetMargin, sheetWidth, bodySize)
	s.goOn(2)
	for _, a := range v.Compared {
		if a.Made {
			s.beside(verdictColour(a.Agree), "", a.Name+": "+a.Short+".")
		}
	}
	if v.First != nil {
		if v.First.Sentence != "" {
			s.words(bodySize, "", inkColour, v.First.Sentence)
		}
		s.toScale(v.First)
	}
	for k := range v.Compared {
		a := &v.Compared[k]
		if !a.Made {
			continue
		}
		s.same(&a.comparedQuantity)
		if len(v.Compared) == 1 && v.First == nil { // there is room
			s.figures(a.Figures)
		} else {
			s.columns(a.Figures)
		}
	}
	for k := range v.Parts {
		switch p := &v.Parts[k]; {
		case v.First != nil: // it goes on with what the first page has begun
			s.goOn(sheetGap)
			s.room(100) // for the photo with it
		case k == 0 && s.beginsHere(p.leaf):
			s.goOn(2 * sheetGap)
		default:
			s.addPage()
		}
		s.part(&v.Parts[k])
	}
	s.addPage()
	s.words(titleSize, "B", inkColour, "Appendix: where the uncertainty comes from")
	for k := range v.Parts {
		p := &v.Parts[k]
		if len(p.Budgets) == 0 {
			continue
		}
		s.head(p.Heading, 40)
		s.budgets(budgetOf(p.d))
		if print.Budgets {
			for _, r := range p.Budgets {
				s.budget(r)
			}
		}
	}
	s.barred("Before you touch the circuit", ruleColour, v.Cautions)
	s.head("Where the numbers come from", 20)
	for k := range v.Parts {
		p := &v.Parts[k]
		s.words(bodySize, "", inkColour, joinNonEmpty(", ", p.Heading, Clean(p.Part.File), p.Taken, p.Size))
		s.origin("", p.SHA256)
	}
	return s.file()
}

// beginsHere says that the first photo need not begin a page of its own: its answer and its figure to scale have room
// on the one with all answers, which is half empty where little is compared.
func (s *sheet) beginsHere(l *leaf) bool {
	const head = 40 // mm: of the photo's name and its answers
	if l.Paper == nil || l.Error != nil || len(l.Doubts) > 0 {
		return false
	}
	return s.y+2*sheetGap+head+s.paperHeight(l) <= s.height-sheetMargin
}

func verdictColour(agree bool) [3]int {
	if agree {
		return goodColour
	}
	return alarmColour
}

// part is one photo.
func (s *sheet) part(p *partView) {
	s.leafHead(p.leaf, titleSize)
	s.leaf(p.leaf)
	if h := p.Part.Sketch; h != nil {
		s.held(h)
	}
}

// held says how a drawing lies against the photo.
func (s *sheet) held(h *Held) {
	if h.Check == nil {
		s.barred("The drawing was not held against the photo", alarmColour, h.doubts())
		return
	}
	v := h.view()
	s.head("The drawing held against the display", 30)
	s.checked(&v, h.On)
}
