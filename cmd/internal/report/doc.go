// Package report puts a wire.Document before people: a summary for the terminal (Text, Plot), a table
// of points (CSV), figures (Figures), and one notebook page that stands alone (Page, and PDF on paper).
// It computes nothing that the document does not say; it only rounds, scales to prefixes and draws.
package report
