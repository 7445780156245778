//go:build !js

package sandbox

import (
	"bytes"
	"compress/gzip"
	"context"
	"fmt"
	"io"
	"math"
	"sync"

	"github.com/tetratelabs/wazero"
	"github.com/tetratelabs/wazero/api"
	"github.com/tetratelabs/wazero/experimental"
	"github.com/tetratelabs/wazero/imports/wasi_snapshot_preview1"
)

// A Decoder is a module, compiled when it is first run.
type Decoder struct {
	zipped  *[]byte
	start   sync.Once
	ready   chan struct{} // closed when the three below are set
	runtime wazero.Runtime
	module  wazero.CompiledModule
	err     error
}

// New returns a decoder of a gzipped module, which may import the WASI preview 1.
func New(zipped *[]byte) *Decoder { return &Decoder{zipped: zipped, ready: make(chan struct{})} }

// Warm compiles the module unless that is done or under way, and waits for it as long as the context goes on.
func (d *Decoder) Warm(ctx context.Context) error {
	d.start.Do(func() {
		go func() {
			defer close(d.ready)
			d.err = d.compile()
		}()
	})
	select {
	case <-d.ready:
		return d.err
	case <-ctx.Done():
		return ctx.Err()
	}
}

func (d *Decoder) compile() error {
	unzipped, err := gzip.NewReader(bytes.NewReader(*d.zipped))
	if err != nil {
		return fmt.Errorf("sandbox: the module is not gzipped: %w", err)
	}
	code, err := io.ReadAll(unzipped)
	if err != nil {
		return fmt.Errorf("sandbox: the module is cut short: %w", err)
	}
	if code, err = stoppable(code); err != nil {
		return err
	}
	ctx := context.Background()
	d.runtime = wazero.NewRuntime(ctx)
	if _, err := wasi_snapshot_preview1.Instantiate(ctx, d.runtime); err != nil {
		return fmt.Errorf("sandbox: %w", err)
	}
	if d.module, err = d.runtime.CompileModule(ctx, code); err != nil {
		return fmt.Errorf("sandbox: %w", err)
	}
	return nil
}

// Run calls work with a fresh instance of the module whose memory holds at most so many bytes, and returns its
// error: ErrMemory where the decoder wanted more memory, ErrTrap where it came to grief otherwise, the context's
// where that ended. What the decoder prints is dropped.
func (d *Decoder) Run(ctx context.Context, most uint64, work func(*Instance) error) error {
	if err := d.Warm(ctx); err != nil {
		return err
	}
	if err := ctx.Err(); err != nil {
		return err
	}
	bounded := &memory{most: most}
	ctx = experimental.WithMemoryAllocator(ctx, experimental.MemoryAllocatorFunc(
		func(_, _ uint64) experimental.LinearMemory { return bounded }))
	module, err := d.runtime.InstantiateModule(ctx, d.module, wazero.NewModuleConfig().WithName(""))
	if err == nil {
		defer module.Close(context.WithoutCancel(ctx))
		stop := module.ExportedGlobal(stopName).(api.MutableGlobal)
		defer context.AfterFunc(ctx, func() { stop.Set(1) })()
		err = work(&Instance{ctx, module})
	}
	switch {
	case err == nil:
		return nil
	case ctx.Err() != nil:
		return ctx.Err()
	case bounded.refused:
		return ErrMemory
	}
	return err
}

// An Instance is a module in one run. Places are bytes from the start of its memory.
type Instance struct {
	ctx    context.Context
	module api.Module
}

// Call calls a function that the module exports and returns its only result.
func (i *Instance) Call(name string, args ...uint64) (uint64, error) {
	function := i.module.ExportedFunction(name)
	if function == nil {
		return 0, fmt.Errorf("sandbox: the module has no %s", name)
	}
	results, err := function.Call(i.ctx, args...)
	if err != nil || len(results) != 1 {
		return 0, fmt.Errorf("%w in %s: %w", ErrTrap, name, err)
	}
	return results[0], nil
}

// Alloc returns a place of n bytes.
func (i *Instance) Alloc(n int) (uint32, error) {
	if uint64(n) > math.MaxUint32 { // the module counts in 32 bits
		return 0, ErrMemory
	}
	at, err := i.Call("malloc", uint64(n))
	if err == nil && uint32(at) == 0 {
		err = ErrMemory
	}
	return uint32(at), err
}

// Put copies data into memory and returns where it is.
func (i *Instance) Put(data []byte) (uint32, error) {
	at, err := i.Alloc(len(data))
	if err == nil && !i.module.Memory().Write(at, data) {
		err = ErrTrap
	}
	return at, err
}

// Words reads n numbers of 32 bits.
func (i *Instance) Words(at uint32, n int) ([]uint32, error) {
	words := make([]uint32, n)
	for k := range words {
		var ok bool
		if words[k], ok = i.module.Memory().ReadUint32Le(at + 4*uint32(k)); !ok {
			return nil, ErrTrap
		}
	}
	return words, nil
}

// Bytes are n bytes of memory, of which a copy has to be made before the run ends.
func (i *Instance) Bytes(at uint32, n int) ([]byte, error) {
	data, ok := i.module.Memory().Read(at, uint32(n))
	if !ok {
		return nil, ErrTrap
	}
	return data, nil
}

// memory is the linear memory of one run. All that it may grow to is set aside at once: the system hands it out as
// it is used, and growing never copies.
type memory struct {
	most    uint64
	buffer  []byte
	refused bool
}

// Reallocate returns the memory at its new size, or nil where that is more than it may be.
func (m *memory) Reallocate(size uint64) []byte {
	if size > m.most {
		m.refused = true
		return nil
	}
	if m.buffer == nil {
		m.buffer = make([]byte, m.most)
	}
	return m.buffer[:size:size]
}

// Free lets the memory go.
func (m *memory) Free() { m.buffer = nil }
