# What a newcomer needs: `make test`. Everything else serves it.

STATICCHECK = honnef.co/go/tools/cmd/staticcheck@v0.8.2
GOSEC       = github.com/securego/gosec/v2/cmd/gosec@v2.30.0
GOVULNCHECK = golang.org/x/vuln/cmd/govulncheck@v1.9.0
FUZZTIME   ?= 10s
DAYS       ?= 10000
SEED       ?= 1
EVENTS     ?= 80

.PHONY: test test-all tools vet gosec unit vuln bench hour fuzz sim demo build update

test: tools vet gosec unit vuln

# What the tests need beyond Go. Real servers find what embedded ones hide.
tools:
	@command -v redis-server >/dev/null || { \
	  echo "installing redis-server"; \
	  SUDO=$$([ "$$(id -u)" = 0 ] || echo sudo); \
	  $$SUDO apt-get update -qq && $$SUDO apt-get install -y -qq --no-install-recommends redis-server; }
	@command -v chromium >/dev/null || command -v google-chrome >/dev/null || { \
	  echo "installing chromium"; \
	  SUDO=$$([ "$$(id -u)" = 0 ] || echo sudo); \
	  $$SUDO apt-get update -qq && $$SUDO apt-get install -y -qq --no-install-recommends chromium; }
	@command -v pdftotext >/dev/null || { \
	  echo "installing poppler-utils, to read PDF pages back"; \
	  SUDO=$$([ "$$(id -u)" = 0 ] || echo sudo); \
	  $$SUDO apt-get update -qq && $$SUDO apt-get install -y -qq --no-install-recommends poppler-utils; }
	@command -v npm >/dev/null || { \
	  echo "installing npm"; \
	  SUDO=$$([ "$$(id -u)" = 0 ] || echo sudo); \
	  $$SUDO apt-get update -qq && $$SUDO apt-get install -y -qq --no-install-recommends npm; }
	@[ -f node_modules/axe-core/axe.min.js ] && [ -f node_modules/acorn/dist/acorn.js ] || npm ci --no-audit --no-fund --ignore-scripts

vet:
	@out=$$(gofmt -l cmd internal); [ -z "$$out" ] || { echo "not gofmt-ed: $$out"; exit 1; }
	go vet ./...
	go run $(STATICCHECK) ./...

# What is passed over stands beside its line, with the reason. Tests are no part
# of the program and not looked at; building the tool takes a minute the first
# time.
gosec:
	go run $(GOSEC) -quiet ./...

# The long form of the fault tests: 200 kills of a busy morning, a dozen rolling
# restarts, and all else end to end. Each prints what was acknowledged, stored,
# sent, repeated and lost. And a client that is generated from the API's document.
test-all: tools vet
	GASMUSTER_TEST_CLIENT=1 go test -count=1 -run TestAGeneratedClient ./internal/shopapi
	E2E_FULL=1 go test -count=1 -timeout 60m -v ./internal/e2e
	$(MAKE) test

# Pure packages start nothing that runs beside them. Whoever calls them from many
# goroutines (delivery, the channels, the built program) is tested with the race
# detector, under which these would take ten times as long. The browser's tests
# look at pages; what serves them has its own tests, with it. Many wait for servers and
# browsers: three packages at a time keep two cores busy.
PURE = $(addprefix gasmuster/internal/,gas roster conversation conversation/reply conversation/orders conversation/newtrip \
	conversation/newcomer conversation/when message picture papers sim sim/judge browsertest)

# Tests that ask for thousands of pages one after the other are run without the detector,
# which finds nothing in them; everything else of their packages is run with it.
SERIAL = TestEveryPageInEveryLanguage|TestPostsOfAShopAreBounded|TestStrangersAreBounded

unit:
	go test -p 3 -timeout 8m $(PURE) $(addprefix gasmuster/internal/,desk doorstep)
	go test -p 3 -race -skip '$(SERIAL)' -timeout 8m $(filter-out $(PURE),$(shell go list ./...))

# The vulnerability database may be out of reach: exit 3 is a finding and
# fails, anything else is said and passed over.
vuln:
	@go run $(GOVULNCHECK) ./... 2>&1; code=$$?; \
	if [ $$code = 3 ]; then exit 3; fi; \
	if [ $$code != 0 ]; then echo "vulnerability check SKIPPED: the database could not be read"; fi

# First what single parts cost, then the whole service against a bare echo, a
# strict Bot API server and a full store; a table of the figures comes last.
# About twenty minutes; LOAD_ROUNDS=1 LOAD_SECONDS=10 LOAD_TRIPS=2000 for a look.
bench: tools
	go test -p 1 -run '^$$' -bench . -benchmem -benchtime 300ms $$(go list ./... | grep -v internal/load)
	go test -run '^$$' -bench . -benchtime 1x -timeout 20m ./internal/load

# An hour of a thousand boats at three times their natural pace on one program and on
# three: two hours and ten minutes. LOAD_MINUTES=10 LOAD_BOATS=160 for a look.
hour:
	LOAD_MINUTES=$${LOAD_MINUTES:-60} go test -run '^$$' -bench Hour -benchtime 1x -timeout 3h ./internal/load

# Every fuzz target in turn, FUZZTIME each.
fuzz:
	@set -e; grep -rl --include='*_test.go' 'func Fuzz' internal cmd | xargs -n1 dirname | sort -u | while read d; do \
	  for f in $$(grep -rho 'func Fuzz[A-Za-z0-9_]*' $$d/*_test.go | sed 's/func //'); do \
	    echo "$$d $$f"; go test ./$$d -run '^$$' -fuzz "^$$f$$" -fuzztime $(FUZZTIME); done; done

# DAYS days of EVENTS that nobody wrote, from SEED on and on all cores: the product against the
# reference judge after everything that is said. A quick run is part of the tests.
sim:
	SIM_DAYS=$(DAYS) SIM_SEED=$(SEED) SIM_EVENTS=$(EVENTS) go test -count=1 -timeout 0 -v -run TestProductAndJudgeAgree ./internal/sim

# Rewrites transcripts and other golden files; commit only changes you understand.
update:
	go test ./internal/conversation/... -update

build:
	CGO_ENABLED=0 go build -trimpath -o bin/bot ./cmd/bot

demo:
	go run ./cmd/bot demo
