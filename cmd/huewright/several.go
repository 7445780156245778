package main

import (
	"cmp"
	"io"
	"strings"

	"github.com/schollz/progressbar/v3"
	"github.com/spf13/cobra"

	"huewright/cmd/huewright/internal/shell"
	"huewright/imageio"
	"huewright/internal/fault"
	"huewright/internal/piece"
	"huewright/internal/record"
	"huewright/internal/report"
	"huewright/internal/terminal"
	"huewright/internal/workshop"
)

// measureFlags are those of a measurement, of one photo or of several.
type measureFlags struct {
	photoFlags
	ties  []string
	keep  keepFlags
	write writeFlags
}

// registerTies adds the flag that ties photos.
func (f *measureFlags) registerTies(cmd *cobra.Command) {
	cmd.Flags().StringArrayVar(&f.ties, "tie", nil, "Something that stays the same in several photos, as `NAME@PHOTO=OUTLINE`. "+
		"Give it once for each photo that shows it.")
}

// runSeveral measures several photos, one by one or tied.
func runSeveral(cmd *cobra.Command, stdout io.Writer, photos []string, flags *measureFlags) error {
	ctx := cmd.Context()
	sink, err := flags.keep.open(cmd, stdout, flags.json)
	if err != nil {
		return err
	}
	defer sink.close()
	req, err := flags.several(photos)
	if err != nil {
		return err
	}
	if err := flags.write.check(); err != nil {
		return err
	}
	finish := progress(&req, cmd.ErrOrStderr())
	result, err := workshop.MeasureSeveral(ctx, shell.Disk(ctx, ""), req)
	finish()
	if err != nil {
		return err
	}
	readings := make([]*workshop.MeasureResult, len(result.Photos))
	read := workshop.SeveralRequest{Ties: req.Ties}
	var measured []workshop.AreaReading
	for i, p := range result.Photos {
		readings[i] = p.Result
		if p.Err == nil {
			read.Photos, measured = append(read.Photos, req.Photos[i]), append(measured, p.Result.Areas...)
		}
	}
	keep := func(k *record.Keeper, json []byte) (record.Kept, error) {
		return k.KeepMeasure(ctx, req, readings, json)
	}
	if err := answer(sink, shell.Disk(ctx, ""), result, flags.style(stdout).SeveralText, report.SeveralJSON, keep); err != nil {
		return err
	}
	if len(read.Photos) > 0 {
		if err := flags.begin(sink, read, measured); err != nil {
			return err
		}
	}
	relative := false
	for _, p := range result.Photos {
		if p.Err != nil {
			return errSomePhotos
		}
		relative = relative || p.Result.Calibration.Relative
	}
	return settle(flags.strict, relative)
}

// begin begins a piece file with what was measured, where one is asked for.
func (f *measureFlags) begin(sink *logSink, read workshop.SeveralRequest, measured []workshop.AreaReading) error {
	p := workshop.BeginPiece(cmp.Or(f.keep.piece, piece.PhotoName(read.Photos[0].Photo)), read)
	return f.write.write(sink.beside(), "begin.written", p, measured)
}

// progress shows on a terminal how many photos are done, and returns what takes it away again.
func progress(req *workshop.SeveralRequest, stderr io.Writer) (finish func()) {
	errs, ok := stderr.(*terminal.Writer)
	if !ok || errs.Screen() == nil {
		return func() {}
	}
	bar := progressbar.NewOptions(len(req.Photos), progressbar.OptionSetWriter(errs.Screen()),
		progressbar.OptionSetDescription("photos"), progressbar.OptionShowCount(), progressbar.OptionClearOnFinish())
	req.Done = func() { _ = bar.Add(1) } // what cannot be shown is not missed
	return func() { _ = bar.Finish() }
}

// asked turns photos and flags into what workshop is asked.
func (f *measureFlags) asked(photos []string) (workshop.SeveralRequest, error) {
	if len(photos) == 1 && len(f.ties) == 0 {
		one, err := f.request(photos[0])
		return workshop.SeveralRequest{Photos: []workshop.MeasureRequest{one}}, err
	}
	return f.several(photos)
}

// several turns the flags into what workshop is asked of several photos. What is marked in one photo by its pixels
// has no place in another, so only areas and ties may be given.
func (f *measureFlags) several(photos []string) (workshop.SeveralRequest, error) {
	var req workshop.SeveralRequest
	for _, of := range []struct {
		flag  string
		given bool
	}{
		{"--corners", f.corners != ""}, {"--chart-at", f.chartAt != ""}, {"--grey", f.grey != ""}, {"--neutral", len(f.neutrals) > 0},
		{"--flat", f.flat != ""}, {"--length", f.length != ""}, {"--overlay", f.overlay != ""}, {"--tap", len(f.taps) > 0},
	} {
		if of.given {
			return req, fault.New(fault.Use, "use.flag-of-one-photo", "flag", of.flag, "photos", len(photos))
		}
	}
	bare := f.photoFlags
	bare.areas = nil
	for _, photo := range photos {
		one, err := bare.request(photo)
		if err != nil {
			return req, err
		}
		req.Photos = append(req.Photos, one)
	}
	for _, s := range f.areas {
		name, at, outline, err := marked("--area", s, photos)
		if err != nil {
			return req, err
		}
		for i := range req.Photos {
			if at == "" || at == piece.PhotoName(req.Photos[i].Photo) {
				req.Photos[i].Areas = append(req.Photos[i].Areas, workshop.AreaOutline{Name: name, Outline: outline})
			}
		}
	}
	for _, s := range f.ties {
		name, at, outline, err := marked("--tie", s, photos)
		if err != nil {
			return req, err
		}
		if at == "" {
			return req, shell.Like(fault.New(fault.Use, "use.tie-without-photo", "name", name), `--tie "slip@front=40,60,80,50"`)
		}
		req.Ties = tied(req.Ties, name, at, outline)
	}
	for i := range req.Photos {
		if len(req.Photos[i].Areas) == 0 {
			example := `--area "frame@` + piece.PhotoName(photos[i]) + `=310,220,180,640"`
			return req, shell.Like(fault.New(fault.Use, "use.no-area-in", "photo", photos[i]), example)
		}
	}
	return req, nil
}

// tied are ties with one more place of the one of a name.
func tied(ties []piece.Tie, name, at string, outline imageio.Outline) []piece.Tie {
	for i := range ties {
		if ties[i].Name == name {
			ties[i].In[at] = outline.String()
			return ties
		}
	}
	return append(ties, piece.Tie{Name: name, In: map[string]string{at: outline.String()}})
}

// marked reads "NAME=OUTLINE" or "NAME@PHOTO=OUTLINE".
func marked(flag, s string, photos []string) (name, at string, outline imageio.Outline, err error) {
	example := flag + ` "frame=120,300,400,250"; for one photo only, "frame@front=120,300,400,250"`
	name, text, found := strings.Cut(s, "=")
	if i := strings.LastIndex(name, "@"); i >= 0 {
		name, at = name[:i], strings.TrimSpace(name[i+1:])
	}
	if name = strings.TrimSpace(name); !found || name == "" {
		return name, at, outline, shell.Like(fault.New(fault.Use, "use.flag-without-name", "flag", flag, "value", s), example)
	}
	if outline, err = imageio.ParseOutline(text); err != nil {
		return name, at, outline, shell.InFlag(flag+" "+name, example, err)
	}
	for _, p := range photos {
		if at == "" || at == piece.PhotoName(p) {
			return name, at, outline, nil
		}
	}
	return name, at, outline, fault.New(fault.Use, "use.no-such-photo", "flag", flag, "name", name, "photo", at)
}
