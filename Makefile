# make demo     builds the command and a whole set from a shipped scene, with coarse cells
# make test     checks format, vet and lint, runs all tests and builds for all platforms
# make draws    runs the random tests with new draws; takes a night
# make shipped  builds every shipped scene at CELL and reads each file with the reference library
# make race     runs the concurrent tests with the race detector; needs a C compiler
# make fanout   builds a set piece by piece with GNU parallel and compares it with one built at once
# make pictures draws the pictures of the README again; takes some minutes

SCENE ?= vardy-street
CELL ?= 0.2
DEMO_CELL ?= 0.4
DEMO := build/demo

PLATFORMS := linux/amd64 linux/arm64 darwin/amd64 darwin/arm64 windows/amd64 windows/arm64

.PHONY: socle demo test race format tidy vet lint deadcode reference page gotest draws cross shipped pictures fanout clean

socle:
	CGO_ENABLED=0 go build -trimpath -o bin/socle ./cmd/socle

demo: socle
	bin/socle build $(SCENE) --cell $(DEMO_CELL) --to $(DEMO)
	@echo
	@echo "This was a demo of $(SCENE) with cells of $(DEMO_CELL) mm. All solids are proven. Most of the"
	@echo "warnings above come from the coarse cells, in thin parts. To print, build it fine:"
	@echo "bin/socle build $(SCENE)"
	@echo
	@echo "To see the demo, open $(DEMO)/$(notdir $(SCENE)).html in a browser. The solids are in the same folder."

test: format tidy vet lint reference page gotest cross
	@echo "all checks passed"

format:
	@files=$$(gofmt -l cmd out parts scenes sdf); \
	if [ -n "$$files" ]; then echo "gofmt would change:"; echo "$$files"; exit 1; fi

# go.mod says what is used, and no more.
tidy:
	go mod tidy -diff

vet:
	go vet ./...

lint: deadcode
	go tool staticcheck ./...

# Functions that the command cannot reach are deleted. Those that stay all the same:
#   InspectionChecks  the tests of three packages go through every check by it
UNREACHED := InspectionChecks

deadcode:
	@dead=$$(go tool deadcode ./cmd/socle) || exit 1; \
	dead=$$(echo "$$dead" | grep -vE 'unreachable func: ($(UNREACHED))$$'); \
	if [ -n "$$dead" ]; then echo "the command cannot reach:"; echo "$$dead"; exit 1; fi

# The independent reader that checks every written file in the tests.
reference: out/reference/node_modules/.package-lock.json

out/reference/node_modules/.package-lock.json: out/reference/package-lock.json
	cd out/reference && npm ci --no-audit --no-fund
	@touch $@

# What the tests of the report's page need.
page: out/page/node_modules/.package-lock.json

out/page/node_modules/.package-lock.json: out/page/package-lock.json
	cd out/page && npm ci --no-audit --no-fund
	@touch $@

# Every run has the same draws, so a new failure comes from a change.
SEED := RAPID_SEED=1

gotest: reference page
	$(SEED) go run ./cmd/internal/gotest -count=1 -timeout 18m ./...

# A property that fails prints its seed. The seeds of the scenes come from the date.
DRAWS ?= 1000
SCENES ?= 50
SCENES_FROM ?= $(shell date +%y%m%d00)

draws: reference page
	RAPID_CHECKS=$(DRAWS) SOCLE_SCENES=$(SCENES_FROM)..$$(($(SCENES_FROM) + $(SCENES) - 1)) go test -count=1 -timeout 8h ./...

race:
	$(SEED) CGO_ENABLED=1 go test -count=1 -race -timeout 15m -run 'Produce|Workers|Determin' ./cmd/set/... ./out/inspect/... ./sdf/mesh ./parts/...

cross:
	@for p in $(PLATFORMS); do \
	  echo "go build for $$p"; \
	  GOOS=$${p%/*} GOARCH=$${p#*/} CGO_ENABLED=0 go build -trimpath -buildvcs=false -o /dev/null ./cmd/socle || exit 1; \
	done

shipped: socle reference
	@mkdir -p build
	@for s in $$(ls scenes/*.toml | xargs -n1 basename | sed 's/\.toml$$//' | grep -v '^starter$$'); do \
	  echo "== $$s at $(CELL) mm"; \
	  bin/socle build $$s --cell $(CELL) --to build/shipped/$$s --json > build/$$s.json || exit 1; \
	  node out/reference/check.mjs build/$$s.json || exit 1; \
	done

pictures:
	SOCLE_PICTURES=$(CURDIR)/scenes/pictures go test -count=1 -timeout 1h -v -run '^TestPictures$$' ./cmd/socle

FANOUT := build/fanout
FANOUT_SCENE := cmd/socle/testdata/fanout.toml
FANOUT_HOW := --cell 1 --size 320x240

fanout: socle
	@command -v parallel >/dev/null || { echo "make fanout needs GNU parallel, which is not installed"; exit 1; }
	rm -rf $(FANOUT)
	mkdir -p $(FANOUT)
	bin/socle jobs $(FANOUT_SCENE) --variant all $(FANOUT_HOW) --command bin/socle --to $(FANOUT)/jobs > $(FANOUT)/jobs.txt
	parallel -j2 --halt soon,fail=1 < $(FANOUT)/jobs.txt
	bin/socle gather $(FANOUT)/jobs --to $(FANOUT)/gathered --quiet
	bin/socle build $(FANOUT_SCENE) $(FANOUT_HOW) --no-cache --to $(FANOUT)/built/fanout --quiet
	bin/socle build $(FANOUT_SCENE) $(FANOUT_HOW) --no-cache --variant high --to $(FANOUT)/built/fanout-high --quiet
	diff -r $(FANOUT)/built $(FANOUT)/gathered
	@echo "gathered as built, byte for byte"

clean:
	rm -rf bin build
