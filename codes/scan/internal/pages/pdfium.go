package pages

import (
	"context"
	"io"
	"os"
	"path/filepath"
	"runtime"

	"github.com/klippa-app/go-pdfium"
	"github.com/klippa-app/go-pdfium/webassembly"
	"github.com/tetratelabs/wazero"
	"github.com/tetratelabs/wazero/api"
	"github.com/tetratelabs/wazero/experimental"
)

// leastInstances allows a loop over one PDF's pages within that over another's,
// on a machine of one processor too.
const leastInstances = 2

// startPDFium makes the WebAssembly build of PDFium ready: it gets no files, no
// network and no output. Compiling it takes about two seconds; what comes out
// is kept in folder, so that the next start takes a tenth of one. Without a
// folder ("") or when it cannot be used, it is compiled each time.
func startPDFium(ctx context.Context, folder string) (pdfium.Pool, error) {
	ctx = experimental.WithCompilationWorkers(ctx, runtime.GOMAXPROCS(0))
	// PDFium's errors are exceptions of WebAssembly. Without CloseOnContextDone
	// a page could not be stopped; drawing takes longer with it.
	config := wazero.NewRuntimeConfig().WithCloseOnContextDone(true).
		WithCoreFeatures(api.CoreFeaturesV2 | experimental.CoreFeaturesExceptionHandling)
	start := func(config wazero.RuntimeConfig) (pdfium.Pool, error) {
		return webassembly.Init(webassembly.Config{
			Context:       ctx,
			RuntimeConfig: config,
			FSConfig:      wazero.NewFSConfig(),
			MaxTotal:      max(runtime.GOMAXPROCS(0), leastInstances),
			Stdout:        io.Discard,
			Stderr:        io.Discard,
		})
	}
	if cache := compiledCache(folder); cache != nil {
		pool, err := start(config.WithCompilationCache(cache))
		if err == nil {
			return &cachedPool{pool, cache}, nil
		}
		// What is kept there may be damaged, or the disk full.
		_ = cache.Close(ctx)
	}
	return start(config)
}

// compiledCache opens the folder, or makes it; nil when it cannot be used.
func compiledCache(folder string) wazero.CompilationCache {
	if folder == "" {
		return nil
	}
	cache, err := wazero.NewCompilationCacheWithDir(folder)
	if err != nil {
		return nil
	}
	return cache
}

// cachedPool closes the compilation cache with its pool.
type cachedPool struct {
	pdfium.Pool
	cache wazero.CompilationCache
}

func (p *cachedPool) Close() error {
	err := p.Pool.Close()
	if cacheErr := p.cache.Close(context.Background()); err == nil {
		err = cacheErr
	}
	return err
}

// compiledFolder is where compiled code is kept between runs, "" when the user
// has no folder for such things. Only the user may write there.
func compiledFolder() string {
	caches, err := os.UserCacheDir()
	if err != nil {
		return ""
	}
	return filepath.Join(caches, "graftslip", "pdfium")
}
