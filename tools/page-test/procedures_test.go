//go:build page

package pagetest

import "testing"

// TestProcedures reads a procedure and its parts, breaks a copy, follows the
// problem to its line, and saves a new version that both screens then show.
func TestProcedures(t *testing.T) {
	b := newBench(t)
	s := b.newScreen("en")
	s.open("/procedures")
	s.look("procedures")
	s.touch(`a[href="/procedures/ring"]`)
	s.shows("main", "What is measured", "Sums and limits", "After fitting", "found in the file")
	s.until(`[...document.images].every((i) => (i.loading = "eager", i.complete) && i.naturalWidth > 0)`)
	s.look("procedure")
	german := b.newScreen("de")
	german.open("/parts/rings")
	german.shows("main", "Teilenummer", "Stufen")
	german.look("parts-german")

	s.touch(`a[href="/procedures/ring/edit"]`)
	s.there("#copy")
	s.look("edit")
	value[bool](s, `(() => { const c = document.getElementById("copy"); c.value = c.value.replace(/^gap: .*$/m, "gap: deep"); c.dispatchEvent(new Event("input")); return true; })()`)
	s.touch("button[value=check]")
	s.shows("#outcome", "The copy has problems", `"deep" is not known here`)
	s.look("edit-problem")
	s.touch("#outcome a[data-line]")
	s.until(`document.activeElement.id === "copy" && document.getElementById("copy").value.slice(copy.selectionStart, copy.selectionEnd) === "deep"`)
	s.until(`document.querySelector("#numbers .here").textContent === document.querySelector("#outcome a[data-line]").dataset.line`)

	// A line more moves the numbers along.
	value[bool](s, `(() => { const c = document.getElementById("copy"); c.value = c.value.replace(/^gap: .*$/m, "gap: depth - cover") + "# reviewed\n"; c.dispatchEvent(new Event("input")); return true; })()`)
	s.until(`document.getElementById("numbers").children.length === document.getElementById("copy").value.split("\n").length`)
	s.touch("button[value=difference]")
	s.shows("#outcome", "The copy is fine", "# reviewed")
	s.look("edit-difference")
	s.fill("input[name=by]", "A. Author")
	s.fill("input[name=reason]", "reviewed at the bench")
	s.touch("button[value=save]")
	s.until(`location.pathname === "/procedures/ring"`)
	s.shows("main", "A. Author", "reviewed at the bench", "in force")
	german.open("/procedures/ring")
	german.shows("main", "A. Author", "gültig")
	german.look("procedure-versions-german")
}
