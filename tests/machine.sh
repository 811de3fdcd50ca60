# What a machine must have, installed or named. Sourced by demo/run and tests/run, from the project's folder.

# Installs Debian packages where that is possible, or says what is missing and stops.
packages() {
    local why=$1
    shift
    echo "missing for $why: $*" >&2
    if [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null; then
        apt-get update -qq >&2
        DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends "$@" >&2
    else
        echo "please install them (on Debian: sudo apt-get install $*) and run this again" >&2
        exit 2
    fi
}

need_compiler() {
    if ! command -v cargo >/dev/null && [ -x "$HOME/.cargo/bin/cargo" ]; then
        PATH="$HOME/.cargo/bin:$PATH"
    fi
    if ! command -v cargo >/dev/null; then
        echo "missing: Rust (cargo, version 1.90 or newer); see https://www.rust-lang.org/tools/install" >&2
        exit 2
    fi
    command -v cc >/dev/null || packages "compiling" gcc libc6-dev
    # The planner's solver is C++, compiled once; without libclang it would fail only at the end of that.
    command -v c++ >/dev/null && command -v make >/dev/null && command -v cmake >/dev/null ||
        packages "compiling the solver" g++ make cmake
    has_libclang || packages "compiling the solver" "$(libclang_package)"
}

has_libclang() {
    [ -n "${LIBCLANG_PATH:-}" ] && return
    local file
    for file in /usr/lib/llvm-*/lib/libclang*.so* /usr/lib/*/libclang*.so* /usr/lib64/libclang*.so*; do
        case "${file##*/}" in libclang.so* | libclang-[0-9]*.so*) [ -e "$file" ] && return ;; esac
    done
    return 1
}

# Debian names the library by its version, each release another: `libclang-dev` knows which.
libclang_package() {
    [ "$(id -u)" = 0 ] && apt-get update -qq >&2
    local version
    version=$(apt-cache depends libclang-dev 2>/dev/null | sed -n 's/.*Depends: libclang-\([0-9]*\)-dev.*/\1/p' | head -n 1)
    echo "libclang1-${version:-14}"
}

# Builds the binary by the cargo command given. Compiled files are kept between clones, since
# compiling is the dear part; without the folder it works too.
build_binary() {
    export CARGO_TARGET_DIR="${CARGO_TARGET_DIR:-${XDG_CACHE_HOME:-$HOME/.cache}/haulout/target}"
    echo "building (the first time takes about twenty minutes on two cores)" >&2
    cargo "$@"
    HAULOUT="$CARGO_TARGET_DIR/debug/haulout"
    export HAULOUT
}
