package main

import (
	"bytes"
	"context"
	"fmt"
	"image/png"
	"io"
	"iter"
	"strings"

	"graftslip/cmd/internal/command"
	"graftslip/codes/scan"
	"graftslip/labels"
	"graftslip/labels/pdf"
	"graftslip/records"
)

// previewDPI is the resolution of pictures of previews, in dots an inch.
const previewDPI = 200

// preview writes the first sheets without a code, as PDF and PNG. It opens no ledger.
func (p *press) preview(ctx context.Context, drafts []records.Draft, spare command.SpareLabels, stdout io.Writer) error {
	for _, pile := range p.piles() {
		asked := *pile.asked
		if asked.sheet != "" {
			command.Hint(p.stderr, fmt.Sprintf("a preview does not look up sheet %q; name its first free position with --start%s", asked.sheet, asked.suffix))
			asked.sheet = ""
		}
		var err error
		if pile.places, err = asked.places(ctx, nil, pile.options.Stock); err != nil {
			return err
		}
	}
	var pieces []piece
	for i, draft := range drafts {
		batch := p.tried[i].batch
		pieces = append(pieces, piece{batch: batch, label: batch, stems: records.Range(1, draft.Grafts), spares: spare.Of(draft.Grafts), trays: records.Range(1, draft.Trays())})
	}
	stems, trays, err := p.designs(ctx, pieces)
	if err != nil {
		return err
	}
	p.name += "-preview"
	staged, err := command.Stage(p.folder, p.used...)
	if err != nil {
		return p.cannotWrite(err)
	}
	defer staged.Discard()
	renderer, err := scan.NewRenderer(ctx)
	if err != nil {
		return err
	}
	defer renderer.Close()
	for i, contents := range []content{stemLabels(stems, pieces), trayCards(trays, pieces)} {
		pile := p.piles()[i]
		first := *pile
		first.count = min(pile.count, len(pile.Free))
		for _, part := range p.partsOf(&first) {
			document := p.document(pile, part, latest(pieces))
			if err := writePreview(ctx, staged, renderer, part, document, contents.between(0, part.to)); err != nil {
				return p.writeFailed(ctx, err)
			}
			picture := part
			picture.path = strings.TrimSuffix(part.path, ".pdf") + ".png"
			pile.parts = append(pile.parts, part, picture)
		}
	}
	if _, err := staged.Keep(); err != nil {
		return p.cannotWrite(err)
	}
	return p.previewed(stdout, drafts)
}

// writePreview writes the sheet of a part as PDF and as PNG.
func writePreview(ctx context.Context, staged *command.Staged, renderer *scan.Renderer, part part, document pdf.Document, designs iter.Seq2[labels.Design, error]) error {
	var sheet bytes.Buffer
	_, err := pdf.Write(&sheet, document, func(yield func(labels.Design, error) bool) {
		for design, err := range designs {
			if !yield(design.Preview(), err) {
				return
			}
		}
	})
	if err != nil {
		return err
	}
	for picture, err := range renderer.Pages(ctx, sheet.Bytes(), previewDPI) {
		if err != nil {
			return err
		}
		err := staged.Write(strings.TrimSuffix(part.name, ".pdf")+".png", func(w io.Writer) error { return png.Encode(w, picture) })
		if err != nil {
			return err
		}
	}
	return staged.Write(part.name, func(w io.Writer) error { _, err := sheet.WriteTo(w); return err })
}

// previewed writes the summary of a preview.
func (p *press) previewed(stdout io.Writer, drafts []records.Draft) error {
	p.ledger = ""
	p.hintModule()
	command.Hint(p.stderr, "this is a preview: it gives no codes and opens no ledger, so rows printed before count as new; for the labels, print without --preview")
	if p.asJSON {
		rows := make([]records.Issued, len(drafts))
		for i, draft := range drafts {
			rows[i].Draft = draft
		}
		return p.summaryJSON(stdout, rows)
	}
	_, err := fmt.Fprintf(stdout, "preview of rows: %d\n%s", len(drafts), p.filesWords())
	return err
}
