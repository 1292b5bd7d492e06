# Shared by cmd/start and cmd/test: installs Debian packages where they are
# missing, and says what to do elsewhere.

# as_root runs a command as root, with sudo where that is needed.
as_root() {
  if [ "$(id -u)" = 0 ]; then "$@"; else sudo "$@"; fi
}

# need installs packages on Debian and its kin.
need() {
  local missing=()
  for p in "$@"; do
    dpkg -s "$p" >/dev/null 2>&1 || missing+=("$p")
  done
  [ "${#missing[@]}" = 0 ] && return 0
  echo "Installing: ${missing[*]}"
  as_root apt-get update -q >/dev/null || return 1
  DEBIAN_FRONTEND=noninteractive as_root apt-get install -y -q --no-install-recommends "${missing[@]}" >/dev/null || return 1
}

# window_packages are what the window is built with on Debian.
window_packages=(gcc libc6-dev pkg-config libgl1-mesa-dev xorg-dev libxkbcommon-dev)

# other_system prints what to install where there is no apt, and succeeds only
# where a compiler is there already.
other_system() {
  echo "This is no Debian: install what the window is built with, then run this again."
  case "$(uname -s)" in
    Darwin) echo "  xcode-select --install" ;;
    MINGW*|MSYS*|CYGWIN*) echo "  winget install MSYS2.MSYS2, then in its shell: pacman -S mingw-w64-x86_64-gcc" ;;
    *)
      if command -v dnf >/dev/null; then
        echo "  sudo dnf install gcc libXcursor-devel libXrandr-devel mesa-libGL-devel libXi-devel libXinerama-devel libXxf86vm-devel"
      elif command -v pacman >/dev/null; then
        echo "  sudo pacman -S base-devel libxcursor libxrandr libxinerama libxi mesa"
      else
        echo "  a C compiler and the development files of OpenGL and X11"
      fi ;;
  esac
  command -v gcc >/dev/null || command -v clang >/dev/null
}
