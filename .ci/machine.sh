# Sourced by check and demo: installs what building needs and this machine lacks; fit_machine also takes the names of
# further Debian packages, for what only some scripts need.
# Debian's packages are named; without apt-get the names of what is missing are told.

# Whether a package is there: by a command of its name, or, as for a database server, by its programs' folder.
has_package() {
  case $1 in poppler-utils) set -- pdftotext ;; esac
  command -v "$1" >/dev/null || compgen -G "/usr/lib/$1/*/bin" >/dev/null
}

install_missing() {
  local missing=() root=()
  for package in "$@"; do has_package "$package" || missing+=("$package"); done
  "$CXX" --version >/dev/null 2>&1 || missing+=(g++)
  make --version >/dev/null 2>&1 || missing+=(make)
  cmake --version >/dev/null 2>&1 || missing+=(cmake)
  pkg-config --exists alsa 2>/dev/null || missing+=(pkg-config libasound2-dev)
  python3 -m pip --version >/dev/null 2>&1 || missing+=(python3-pip)
  python3 -c 'import ensurepip, venv' >/dev/null 2>&1 || missing+=(python3-venv)
  [ -e /etc/ssl/certs/ca-certificates.crt ] || missing+=(ca-certificates)
  [ ${#missing[@]} -gt 0 ] || return 0
  echo "installing ${missing[*]}"
  command -v apt-get >/dev/null || { echo "no apt-get here: install ${missing[*]}, then run this again" >&2; return 2; }
  [ "$(id -u)" = 0 ] || root=(sudo)
  "${root[@]}" apt-get update -q
  "${root[@]}" env DEBIAN_FRONTEND=noninteractive apt-get install -qy --no-install-recommends "${missing[@]}"
}

# Whether there is a Rust of at least the version that Cargo.toml asks for.
has_rust() {
  local wanted
  wanted=$(sed -n 's/^rust-version = "\(.*\)"/\1/p' Cargo.toml)
  printf '%s\n' "$wanted" "$(rustc --version 2>/dev/null | cut -d' ' -f2)" | sort --version-sort --check=quiet
}

# Rust from rustup, in .venv and for this project alone, where the machine has none or one too old.
find_rust() {
  PATH="$PATH:$HOME/.cargo/bin"
  has_rust && return 0
  export CARGO_HOME="$PWD/.venv/rust/cargo" RUSTUP_HOME="$PWD/.venv/rust/rustup"
  PATH="$CARGO_HOME/bin:$PATH"
  has_rust && return 0
  echo "installing Rust into .venv"
  python3 -m venv .venv
  .venv/bin/pip install --quiet puccinialin==0.1.14
  # The machine's own certificates: a company's proxy is known to them alone.
  SSL_CERT_FILE=${SSL_CERT_FILE:-/etc/ssl/certs/ca-certificates.crt} \
    .venv/bin/python -m puccinialin --location .venv/rust >/dev/null
  rustup default 1.95.0 # the version whose lints the code is written against
  rustup component add clippy rustfmt
  has_rust
}

fit_machine() {
  CXX=${CXX:-g++}
  install_missing "$@"
  find_rust
}

# Says what runs, how long after the start, then runs it; a failure ends the script.
step() {
  printf '\n== %s (after %d s)\n' "$*" "$SECONDS"
  "$@"
}
