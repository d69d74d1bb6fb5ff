package shop

import (
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"gauged/internal/readfile"

	"github.com/spf13/cobra"

	"gauged/internal/cli/app"
	"gauged/internal/cli/show"
	"gauged/internal/config"
	"gauged/internal/evaluate"
	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/vet"
	"gauged/internal/wire"
)

func evaluateCommand(a *app.App) *cobra.Command {
	var parts, fitted []string
	var budget bool
	cmd := &cobra.Command{
		Use:   "evaluate PROCEDURE.yaml READINGS.csv",
		Short: "Evaluate readings of a file under a procedure",
		Long: "Evaluate the readings of a CSV file under a procedure file. You see the answer, the\n" +
			"reason and the sums. No daemon is needed, and nothing is stored.\n" +
			"\n" +
			"The readings have one line of column names: measurement, value and unit. Optional\n" +
			"columns are gauge and discarded, the reason why a reading does not count. Lines that\n" +
			"begin with # are remarks. Readings of the verification are in the same file.\n" +
			"\n" +
			"The part family is found by the id that the procedure names. It is looked for among\n" +
			"the *.yaml files beside the procedure and in ../parts. --parts names its file instead.",
		Example: "  gaugectl evaluate ring.yaml readings.csv\n" +
			"  gaugectl evaluate ring.yaml readings.csv --fitted R160=1.597 --output json",
		Args: app.Arguments(2, 2),
	}
	cmd.Flags().StringArrayVar(&parts, "parts", nil, "part family file; once for each family")
	cmd.Flags().StringArrayVar(&fitted, "fitted", nil, "fitted part: `[PLACE:]PART[=THICKNESS]`, such as R160=1.597mm; once for each place")
	cmd.Flags().BoolVar(&budget, "budget", false, "show the uncertainty of each result as a table of its contributions")
	cmd.RunE = func(_ *cobra.Command, args []string) error {
		a.Running = true
		return evaluateFiles(a, args[0], args[1], parts, fitted, budget)
	}
	return cmd
}

func evaluateFiles(a *app.App, procedureFile, readingsFile string, partsFiles, fittedTexts []string, budget bool) error {
	content, err := config.ReadFile(procedureFile)
	if err != nil {
		return err
	}
	p, err := vet.ReadProcedure(procedureFile, content)
	if err != nil {
		return err
	}
	families, err := readFamilies(p, procedureFile, partsFiles)
	if err != nil {
		return err
	}
	if err := vet.CheckExamples(p, families); err != nil {
		fmt.Fprintf(a.Stderr, "gaugectl: the procedure does not give the answers of its own examples; gaugectl check refuses it:\n%v\n", err)
	}
	if content, err = readfile.Whole(readingsFile, app.LongestFile); err != nil {
		return err
	}
	var in compute.Input
	if in.Readings, err = procedure.ReadReadings(readingsFile, content, p); err != nil {
		return err
	}
	for _, text := range fittedTexts {
		f, err := parseFitted(p, text)
		if err != nil {
			return err
		}
		in.Fitted = append(in.Fitted, f)
	}
	e, err := evaluate.Evaluate(p, families, in)
	if err != nil {
		return err
	}
	m := wire.Evaluation(p, e)
	err = a.Show(m, func(w io.Writer) {
		show.RenderEvaluation(w, m)
		if budget {
			show.RenderBudgets(w, m)
		}
	})
	return errors.Join(err, app.VerdictError(m))
}

// readFamilies finds the families that the procedure chooses from: in the given
// files, or beside the procedure.
func readFamilies(p *procedure.Procedure, procedureFile string, partsFiles []string) (procedure.Families, error) {
	families := procedure.Families{}
	wanted := p.FamilyIDs()
	if len(wanted) == 0 && len(partsFiles) > 0 {
		return nil, app.Usagef("--parts %s: procedure %s chooses from no part family", partsFiles[0], p.ID)
	}
	for _, path := range partsFiles {
		f, err := readFamily(path)
		if err != nil {
			return nil, err
		}
		if !slices.Contains(wanted, f.ID) {
			return nil, fmt.Errorf("%s is the part family %q; procedure %s chooses from %q", path, f.ID, p.ID, strings.Join(wanted, ", "))
		}
		families[f.ID] = f
	}
	for _, id := range wanted {
		if families[id] != nil {
			continue
		}
		f, err := familyBeside(procedureFile, id)
		if err != nil {
			return nil, err
		}
		if f == nil || len(partsFiles) > 0 {
			return nil, fmt.Errorf("procedure %s chooses from the part family %q, which is neither beside it nor in ../parts: name its file with --parts", p.ID, id)
		}
		families[id] = f
	}
	return families, p.Suits(families, procedureFile)
}

// familyBeside looks for a family beside a procedure and in ../parts; nil for
// none.
func familyBeside(procedureFile, id string) (*procedure.Family, error) {
	dir := filepath.Dir(procedureFile)
	for _, pattern := range []string{filepath.Join(dir, "*.yaml"), filepath.Join(dir, "..", "parts", "*.yaml")} {
		paths, err := filepath.Glob(pattern)
		if err != nil {
			return nil, err
		}
		for _, path := range paths {
			content, err := config.ReadFile(path)
			if err != nil {
				return nil, err
			}
			if procedure.IsFamily(content, id) {
				return procedure.ReadFamily(path, content)
			}
		}
	}
	return nil, nil
}

func readFamily(path string) (*procedure.Family, error) {
	content, err := config.ReadFile(path)
	if err != nil {
		return nil, err
	}
	return procedure.ReadFamily(path, content)
}

// parseFitted reads PART, PART=THICKNESS or PLACE:PART=THICKNESS.
func parseFitted(p *procedure.Procedure, text string) (procedure.Fitted, error) {
	part, thickness, measured := strings.Cut(text, "=")
	f := procedure.Fitted{Part: part}
	if place, rest, ok := strings.Cut(part, ":"); ok && len(p.Places) > 0 {
		f.Place, f.Part = place, rest
	}
	if _, ok := p.PlaceNamed(f.Place); !ok {
		return f, app.Usagef("--fitted %s: %s", text, whichPlace(p))
	}
	if !measured {
		return f, nil
	}
	unit := p.Unit
	for _, u := range gauge.Units(gauge.KindLength) {
		if digits, ok := strings.CutSuffix(thickness, u.String()); ok {
			thickness, unit = strings.TrimSpace(digits), u
		}
	}
	l, err := gauge.ParseLength(thickness, unit)
	if err != nil {
		return f, app.Usagef("--fitted %s: %w", text, err)
	}
	if l <= 0 {
		return f, app.Usagef("--fitted %s: %s", text, show.Says(gauge.Say("refusal.part.too-thin", gauge.Text("thickness", thickness))))
	}
	f.Thickness = &l
	return f, nil
}

// whichPlace says how a fitted part names its place.
func whichPlace(p *procedure.Procedure) string {
	if !p.ChoosesPart() {
		return fmt.Sprintf("procedure %s fits no part", p.ID)
	}
	var names []string
	for _, place := range p.Places {
		names = append(names, place.Name)
	}
	return fmt.Sprintf("name the place as PLACE:PART; the places are %s", strings.Join(names, ", "))
}
