package web

import (
	"context"
	"encoding/json"
	"net/http"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/internal/piece"
	"huewright/internal/workshop"
)

// othersOn are the coats of the other plans that the demo's answer puts forward, and of the one it shows.
func (v *visitor) othersOn() (others [][]workshop.ChosenCoats, now []workshop.ChosenCoats) {
	v.t.Helper()
	d, m := v.demoPlan()
	require.Empty(v.t, m.outdated)
	for _, c := range v.s.tryout.server.planView(d, m).Pictured {
		var coats []workshop.ChosenCoats
		if c.Coats != "" {
			require.NoError(v.t, json.Unmarshal([]byte(c.Coats), &coats))
		}
		others = append(others, coats)
	}
	return others, m.result.ChosenCoats(0)
}

func (v *visitor) demoDoes(fields ...string) string {
	v.t.Helper()
	status, body := v.post("/piece/"+demoID+"/do", fields...)
	require.Equal(v.t, http.StatusOK, status, body)
	return body
}

// Another plan is taken by one tap. What is laid, mixed, printed and shown is then that plan; it outlives the server and the coats that
// are laid of it; undo brings the suggested one back.
func TestAnotherPlanIsChosen(t *testing.T) {
	v := paired(t)
	v.demo()
	v.demoDoes("do", "plan")
	others, suggested := v.othersOn()
	require.NotEmpty(t, others)
	other := others[0]
	require.NotEqual(t, suggested, other)
	coats, err := json.Marshal(other)
	require.NoError(t, err)

	body := v.demoDoes("do", "choose", "coats", string(coats))
	require.Contains(t, body, "You chose this plan.")
	others, now := v.othersOn()
	require.Equal(t, other, now)
	require.Nil(t, others[0], "the suggested one stands among the others now")
	_, m := v.demoPlan()
	for i := range m.result.Areas {
		n := 0
		for _, c := range other[i].Coats {
			n += c.Count
		}
		a := &m.result.Areas[i]
		require.Equal(t, n, a.Planned(), a.Area.Name)
		require.Len(t, a.Expected, n+1, "each of its coats is foretold, and one more")
	}
	mixed := map[string]float64{}
	for _, b := range m.result.Batches {
		mixed[b.Coating] += b.Mix
	}
	for _, paper := range []string{"card", "client", "coats.ics"} {
		status, _ := v.get("/piece/" + demoID + "/" + paper)
		require.Equal(t, http.StatusOK, status, paper)
	}

	// Made again from what the log has, it is the same plan, and so is one that was made in one go.
	v.s.tryout.server.plans = newPlanCache(planPixels)
	_, again := v.demoPlan()
	require.Equal(t, m.result.ChosenCoats(0), again.result.ChosenCoats(0))
	require.Equal(t, len(m.result.Choices), len(again.result.Choices))
	for i := range m.result.Areas {
		require.Equal(t, m.result.Areas[i].Plan.After, again.result.Areas[i].Plan.After)
		require.Equal(t, m.result.Areas[i].Expected, again.result.Areas[i].Expected)
	}

	v.demoDoes("do", "undo")
	_, now = v.othersOn()
	require.Equal(t, suggested, now)
	_, m = v.demoPlan()
	require.False(t, m.result.Chosen)
	more := 0.0
	for _, b := range m.result.Batches {
		more += b.Mix - mixed[b.Coating]
	}
	require.NotZero(t, more, "other coats take other amounts")
}

// What was chosen counts the coats in all: it is found again when one of them has been laid and measured. Where no plan comes to it any
// more, that is said, and the suggested one is shown.
func TestAChosenPlanOutlivesItsCoats(t *testing.T) {
	v := paired(t)
	v.demo()
	v.demoDoes("do", "plan")
	_, m := v.demoPlan()
	coats := m.result.ChosenCoats(1)
	req := workshop.PlanRequest{Piece: m.result.Piece, Chosen: coats}
	r, err := m.result.Rechoose(context.Background(), &req)
	require.NoError(t, err)
	require.True(t, r.Chosen)
	req.Piece.Areas = slices.Clone(req.Piece.Areas)
	laid := 0
	for i := range req.Piece.Areas {
		if a := &r.Areas[i]; a.Planned() > 1 { // the first coat comes out as foretold
			then := a.Expected[0].Lab
			req.Piece.Areas[i].Laid = []piece.LaidCoats{{
				Coating: a.Plan.Coats[0].Coating, Coats: 1, After: piece.ColourSource{Lab: []float64{then.L, then.A, then.B}},
			}}
			laid++
		}
	}
	require.NotZero(t, laid)
	photos, err := workshop.OpenPhotos(context.Background(), v.s.tryout.server.album, &req.Piece)
	require.NoError(t, err)
	after, err := workshop.PlanFrom(context.Background(), photos, &req)
	require.NoError(t, err)
	require.Equal(t, coats, after.ChosenCoats(0))

	coats[0].Coats = []workshop.ChosenCoat{{Coating: coats[0].Coats[0].Coating, Count: 97}}
	text, err := json.Marshal(coats)
	require.NoError(t, err)
	body := v.demoDoes("do", "choose", "coats", string(text))
	require.Contains(t, body, "The plan that you chose can no longer be had.")
	require.NotContains(t, body, "You chose this plan.")
	require.Contains(t, body, "Take the suggested plan")
	body = v.demoDoes("do", "choose")
	require.NotContains(t, body, "The plan that you chose")

	for _, wrong := range []string{"no text of coats", `[]`, `[{"area":"nowhere"},{"area":"panel"},{"area":"frame"}]`, `{"area":1}`} {
		status, _ := v.post("/piece/"+demoID+"/do", "do", "choose", "coats", wrong)
		require.Equal(t, http.StatusUnprocessableEntity, status, wrong)
	}
}
