# make demo   try it: install what is missing, build, read and draw the bundled recording
# make test   install what the tests need, and run them
# make check  format, lints and docs, with warnings denied
# make bench  what the stages cost, against a plain sum over the same samples, and what reading a
#             file costs, against numpy and scipy

RECORDING := sample-audio/saltmere-300.wav
PICTURE := demo-out/saltmere-300.png
PULSEWRIGHT := cargo run --release --quiet --
DISPLAYS := $(DISPLAY)$(WAYLAND_DISPLAY)

.PHONY: demo test check bench

demo:
	@scripts/need.sh rust $(if $(DISPLAYS),window)
	cargo build --release
	$(PULSEWRIGHT) read $(RECORDING)
	@mkdir -p $(dir $(PICTURE))
	$(PULSEWRIGHT) picture $(RECORDING) --out $(PICTURE) --replace
	@echo "The picture of all lanes is $(PICTURE)."
ifdef DISPLAYS
	$(PULSEWRIGHT) view $(RECORDING)
else
	@echo "No window opens: there is no display here (DISPLAY and WAYLAND_DISPLAY are empty)."
endif

test:
	@scripts/need.sh rust test
	cargo test

check:
	@scripts/need.sh rust check
	cargo fmt --check
	cargo clippy --all-targets -- -D warnings
	RUSTDOCFLAGS="-D warnings" cargo doc --no-deps

bench:
	@scripts/need.sh rust bench
	cargo bench --bench speed
	cargo build --release
	/usr/bin/python3 benches/whole_read.py target/release/pulsewright
