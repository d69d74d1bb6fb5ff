package main

import (
	"fmt"
	"regexp"
	"strings"
)

// fileFormat is the page about a file, from a page of docs.
func fileFormat(name, about, page string) []byte {
	r := newPage(name, "5", about)
	r.section("DESCRIPTION")
	r.markdown(page)
	r.section("SEE ALSO")
	r.line(`\fBgauged\fR(8), \fBgaugectl\-check\fR(1)`)
	return r.Bytes()
}

var (
	heading  = regexp.MustCompile(`^(#+) (.*)$`)
	listItem = regexp.MustCompile(`^(-|\d+\.) +(.*)$`)
	ruler    = regexp.MustCompile(`^\|[-|: ]+\|$`)
	anchor   = regexp.MustCompile(`<a id="[^"]*"></a>|<!--.*?-->`)
	picture  = regexp.MustCompile(`!\[[^\]]*\]\([^)]*\)`)
	linked   = regexp.MustCompile(`\[([^\]]*)\]\([^)]*\)`)
	marks    = regexp.MustCompile("(?s)`([^`]+)`|\\*\\*([^*]+)\\*\\*|\\*([^*\\s][^*]*)\\*")
)

// markdown writes a page of docs without its title.
func (r *roff) markdown(page string) {
	lines := strings.Split(anchor.ReplaceAllString(page, ""), "\n")
	for i := 0; i < len(lines); {
		line := lines[i]
		h, item := heading.FindStringSubmatch(line), listItem.FindStringSubmatch(line)
		switch {
		case strings.TrimSpace(line) == "", h != nil && h[1] == "#":
			i++
		case h != nil && h[1] == "##":
			r.section(strings.ToUpper(strings.ReplaceAll(h[2], "`", "")))
			i++
		case h != nil:
			r.part(strings.ReplaceAll(h[2], "`", ""))
			i++
		case strings.HasPrefix(line, "    "):
			i = r.block(lines, i)
		case strings.HasPrefix(line, "|"):
			i = r.table(lines, i)
		case item != nil:
			text := item[2]
			for i++; i < len(lines) && strings.HasPrefix(lines[i], "  ") && strings.TrimSpace(lines[i]) != ""; i++ {
				text += "\n" + strings.TrimSpace(lines[i])
			}
			sign := item[1]
			if sign == "-" {
				sign = `\(bu`
			}
			fmt.Fprintf(r, ".IP %s 4\n", sign)
			r.inline(text)
		default:
			var text []string
			for ; i < len(lines) && strings.TrimSpace(lines[i]) != "" && (len(text) == 0 || !begins(lines[i])); i++ {
				text = append(text, lines[i])
			}
			r.apart(".PP")
			r.inline(strings.Join(text, "\n"))
		}
	}
}

// begins says that a line ends the paragraph above it.
func begins(line string) bool {
	return strings.HasPrefix(line, "|") || listItem.MatchString(line) || heading.MatchString(line)
}

// block writes indented lines as they are, and returns where it ended.
func (r *roff) block(lines []string, i int) int {
	var all []string
	for ; i < len(lines) && (strings.HasPrefix(lines[i], "    ") || lines[i] == ""); i++ {
		all = append(all, strings.TrimPrefix(lines[i], "    "))
	}
	for all[len(all)-1] == "" {
		all = all[:len(all)-1]
	}
	r.literal(all)
	return i
}

// table writes each row under its first cell, and returns where the table ended.
func (r *roff) table(lines []string, i int) int {
	var heads []string
	for ; i < len(lines) && strings.HasPrefix(lines[i], "|"); i++ {
		if ruler.MatchString(lines[i]) {
			continue
		}
		cells := cellsOf(lines[i])
		if heads == nil {
			heads = cells
			continue
		}
		r.WriteString(".TP\n")
		r.inline(cells[0])
		for k, cell := range cells[1:] {
			if cell == "" {
				continue
			}
			if len(cells) > 2 {
				cell = heads[k+1] + ": " + cell
			}
			if k > 0 {
				r.apart(".br")
			}
			r.inline(cell)
		}
	}
	return i
}

// cellsOf are the cells of a row; a bar behind a backslash is part of a cell.
func cellsOf(row string) []string {
	row = strings.ReplaceAll(strings.Trim(strings.TrimSpace(row), "|"), `\|`, "\x00")
	cells := strings.Split(row, "|")
	for i, cell := range cells {
		cells[i] = strings.ReplaceAll(strings.TrimSpace(cell), "\x00", "|")
	}
	return cells
}

// inline writes text whose code is bold and whose links are their words.
func (r *roff) inline(text string) {
	text = linked.ReplaceAllString(picture.ReplaceAllString(text, ""), "$1")
	var out strings.Builder
	at := 0
	for _, m := range marks.FindAllStringSubmatchIndex(text, -1) {
		out.WriteString(escaped(text[at:m[0]]))
		switch {
		case m[2] >= 0:
			out.WriteString(bold(text[m[2]:m[3]]))
		case m[4] >= 0:
			out.WriteString(bold(text[m[4]:m[5]]))
		default:
			out.WriteString(`\fI` + escaped(text[m[6]:m[7]]) + `\fR`)
		}
		at = m[1]
	}
	out.WriteString(escaped(text[at:]))
	for line := range strings.Lines(out.String()) {
		r.line(strings.TrimSpace(line))
	}
}
