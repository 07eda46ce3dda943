package evidence_test

import (
	"testing"

	"gasmuster/internal/evidence"
)

func BenchmarkFind(b *testing.B) {
	d := cylinder()
	d.shop("r0", 32.4, -100)
	d.own("r1", 32.1, -90)
	d.own("r2", 32.2, -70)
	d.open(-60)
	b.ReportAllocs()
	for b.Loop() {
		evidence.Find(&d.h, &d.c)
	}
}
