# make demo   builds the command and a whole set from a shipped scene, coarsely
# make test   everything that CI checks
# make draws    what is tested at random, tested at draws that no run has seen; for the night
# make shipped  every shipped scene at CELL, each file read by the reference library
# make race     what runs at once, watched for races; wants a C compiler
# make fanout   a set made piece by piece with GNU parallel is the set that build makes
# make pictures draws the pictures of the README again; takes some minutes

SCENE ?= vardy-street
CELL ?= 0.2
DEMO_CELL ?= 0.4
DEMO := build/demo

PLATFORMS := linux/amd64 linux/arm64 darwin/amd64 darwin/arm64 windows/amd64 windows/arm64

.PHONY: socle demo test race format vet lint reference page gotest draws cross shipped pictures fanout clean

socle:
	CGO_ENABLED=0 go build -trimpath -o bin/socle ./cmd/socle

demo: socle
	bin/socle build $(SCENE) --cell $(DEMO_CELL) --to $(DEMO)
	@echo
	@echo "This was a demo, of $(SCENE), with cells of $(DEMO_CELL) mm: all solids are proven. What the"
	@echo "inspection warns of above is mostly of such coarse cells, in thin things; what is"
	@echo "printed is built fine: bin/socle build $(SCENE)"
	@echo
	@echo "To see it, open $(DEMO)/$(notdir $(SCENE)).html in a browser; the solids lie beside it."

test: format vet lint reference page gotest cross
	@echo "all checks passed"

format:
	@files=$$(gofmt -l cmd out parts scenes sdf); \
	if [ -n "$$files" ]; then echo "gofmt would change:"; echo "$$files"; exit 1; fi

vet:
	go vet ./...

lint:
	go tool staticcheck ./...

# The independent reader that the tests hold every written file against.
reference: out/reference/node_modules/.package-lock.json

out/reference/node_modules/.package-lock.json: out/reference/package-lock.json
	cd out/reference && npm ci --no-audit --no-fund
	@touch $@

# What the tests hold the report's page against.
page: out/page/node_modules/.package-lock.json

out/page/node_modules/.package-lock.json: out/page/package-lock.json
	cd out/page && npm ci --no-audit --no-fund
	@touch $@

# The draws of every run are the same, so that what fails was broken by a change.
SEED := RAPID_SEED=1

gotest: reference page
	$(SEED) go test -count=1 -timeout 18m ./...

# A property that fails tells its seed; a scene has one of its own, from the date.
DRAWS ?= 1000
SCENES ?= 50
SCENES_FROM ?= $(shell date +%y%m%d00)

draws: reference page
	RAPID_CHECKS=$(DRAWS) SOCLE_SCENES=$(SCENES_FROM)..$$(($(SCENES_FROM) + $(SCENES) - 1)) go test -count=1 -timeout 8h ./...

race:
	$(SEED) CGO_ENABLED=1 go test -count=1 -race -timeout 15m -run 'Produce|Workers|Determin' ./cmd/set/piece ./out/inspect ./sdf/mesh ./parts

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
	@command -v parallel >/dev/null || { echo "make fanout wants GNU parallel, which is not here"; exit 1; }
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
