package pages

import (
	"image"
	"strings"

	"github.com/klippa-app/go-pdfium/enums"
	"github.com/klippa-app/go-pdfium/references"
	"github.com/klippa-app/go-pdfium/requests"
)

// Text is a text that the file sets in one go: a line or a part of one, in
// any direction. Texts within forms and annotations are left out.
type Text struct {
	Text  string
	Place image.Rectangle // around it, in pixels of the page's picture; seldom as narrow as its ink
}

// brokenHyphen is what PDFium gives for a hyphen at which a line may have been
// broken.
const brokenHyphen = "\x02"

// texts gives what is written on a page that is drawn so many pixels wide and
// high.
func (d *Document) texts(page requests.Page, width, height int) ([]Text, error) {
	loaded, err := d.pdfium.FPDFText_LoadPage(&requests.FPDFText_LoadPage{Page: page})
	if err != nil {
		return nil, err
	}
	defer func() {
		_, _ = d.pdfium.FPDFText_ClosePage(&requests.FPDFText_ClosePage{TextPage: loaded.TextPage})
	}()
	count, err := d.pdfium.FPDFPage_CountObjects(&requests.FPDFPage_CountObjects{Page: page})
	if err != nil {
		return nil, err
	}
	var texts []Text
	for index := range count.Count {
		object, err := d.pdfium.FPDFPage_GetObject(&requests.FPDFPage_GetObject{Page: page, Index: index})
		if err != nil {
			return nil, err
		}
		kind, err := d.pdfium.FPDFPageObj_GetType(&requests.FPDFPageObj_GetType{PageObject: object.PageObject})
		if err != nil {
			return nil, err
		}
		if kind.Type != enums.FPDF_PAGEOBJ_TEXT {
			continue
		}
		said, err := d.pdfium.FPDFTextObj_GetText(&requests.FPDFTextObj_GetText{PageObject: object.PageObject, TextPage: loaded.TextPage})
		if err != nil {
			return nil, err
		}
		text := Text{Text: strings.TrimSpace(strings.ReplaceAll(said.Text, brokenHyphen, "-"))}
		if text.Text == "" {
			continue
		}
		if text.Place, err = d.box(page, object.PageObject, width, height); err != nil {
			return nil, err
		}
		texts = append(texts, text)
	}
	return texts, nil
}

// box is where an object of a page lies on its picture.
func (d *Document) box(page requests.Page, object references.FPDF_PAGEOBJECT, width, height int) (image.Rectangle, error) {
	bounds, err := d.pdfium.FPDFPageObj_GetBounds(&requests.FPDFPageObj_GetBounds{PageObject: object})
	if err != nil {
		return image.Rectangle{}, err
	}
	var corners [2]image.Point
	for i, corner := range [2][2]float32{{bounds.Left, bounds.Bottom}, {bounds.Right, bounds.Top}} {
		// The page may be turned, or begin elsewhere than at its corner.
		at, err := d.pdfium.FPDF_PageToDevice(&requests.FPDF_PageToDevice{
			Page: page, SizeX: width, SizeY: height, PageX: float64(corner[0]), PageY: float64(corner[1])})
		if err != nil {
			return image.Rectangle{}, err
		}
		corners[i] = image.Pt(at.DeviceX, at.DeviceY)
	}
	return image.Rectangle{corners[0], corners[1]}.Canon(), nil
}
