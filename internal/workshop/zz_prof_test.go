package workshop_test
import ("testing";"os";"context";"huewright/internal/workshop";"huewright/imageio";"github.com/stretchr/testify/require")
func BenchmarkZZ(b *testing.B){
 data,_:=os.ReadFile("/work/shared/data/charts/jarrelscy/IMG_20140613_203438.jpg")
 files := inMemory{"front.jpg": string(data)}
 req := workshop.MeasureRequest{Photo: "front.jpg"}
 req.Areas = append(req.Areas, workshop.AreaOutline{Name:"a", Outline: imageio.Rect(300,300,300,300)}, workshop.AreaOutline{Name:"b", Outline: imageio.Rect(2500,1800,300,300)})
 for b.Loop(){ r,err:=workshop.Measure(context.Background(), files, req); require.NoError(b,err); require.True(b,r.Calibration.Found)}
}
