package record

import (
	"context"
	"encoding/json"
	"io/fs"

	"huewright/imageio"
	"huewright/internal/fault"
	"huewright/internal/logbook"
	"huewright/internal/workshop"
)

// keptFiles are the photos of a run, by the names its request has for them.
type keptFiles struct {
	log *logbook.Log
	run *logbook.Run
}

func (f keptFiles) ReadFile(path string) ([]byte, error) {
	hash, there := f.run.Photos[path]
	if !there {
		return nil, &fs.PathError{Op: "read", Path: path, Err: fs.ErrNotExist}
	}
	return f.log.Photo(hash)
}

func (f keptFiles) OpenPhoto(ctx context.Context, path string) (*imageio.Photo, error) {
	data, err := f.ReadFile(path)
	if err != nil {
		return nil, err
	}
	return imageio.Decode(ctx, data, path)
}

// Replan makes a plan of the log once more, from the photos that were kept, as this program
// does it now.
func Replan(ctx context.Context, log *logbook.Log, run int64) (*workshop.PlanResult, *logbook.Run, error) {
	r, err := log.Run(ctx, run)
	if err != nil {
		return nil, nil, err
	}
	if r.What != "plan" {
		return nil, nil, fault.New(fault.Use, "piece.no-plan-run", "run", run, "what", r.What)
	}
	var req workshop.PlanRequest
	if err := json.Unmarshal(r.Request, &req); err != nil {
		return nil, nil, fault.New(fault.Log, "logbook.run-unreadable").Because(err)
	}
	result, err := workshop.Plan(ctx, keptFiles{log, &r}, req)
	return result, &r, err
}
