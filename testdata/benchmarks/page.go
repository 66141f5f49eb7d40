package main

import (
	"fmt"
	"strings"
	"time"
)

// page is the page of results as it grows.
type page struct{ strings.Builder }

func (p *page) text(title, format string, args ...any) {
	if p.Len() > 0 {
		p.WriteString("\n")
	}
	fmt.Fprintf(p, "%s\n\n%s\n\n", title, fmt.Sprintf(format, args...))
}

func (p *page) table(head []string, rows [][]string) {
	line := func(cells []string) { fmt.Fprintf(p, "| %s |\n", strings.Join(cells, " | ")) }
	line(head)
	rule := make([]string, len(head))
	for i := range rule {
		rule[i] = "---"
		if i > 0 && head[i] != "" {
			rule[i] = "---:"
		}
	}
	line(rule)
	for _, r := range rows {
		line(r)
	}
}

// rate is how much a second.
func rate(n float64, took time.Duration) string {
	v := n / took.Seconds()
	if v >= 100 {
		return fmt.Sprintf("%.0f", v)
	}
	return fmt.Sprintf("%.3g", v)
}

func seconds(d time.Duration) string { return fmt.Sprintf("%.2f", d.Seconds()) }

func megabytes(b int64) string {
	if b <= 0 {
		return "not known here"
	}
	return fmt.Sprintf("%.0f", float64(b)/1e6)
}
