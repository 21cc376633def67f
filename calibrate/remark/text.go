package remark

// KindText is a sentence that has no kind of its own yet. It goes when every room has kinds.
const KindText Kind = "text"

// Text wraps a sentence.
func Text(sentence string) Remark { return Of(KindText, Word("text", sentence)) }

// Texts wraps each of a list; nil gives nil.
func Texts(sentences []string) (list []Remark) {
	for _, s := range sentences {
		list = append(list, Text(s))
	}
	return list
}
