# SPDX-License-Identifier: MIT
# Sourced by tools/demo and tools/check: makes sure that what a build needs is installed.
# shellcheck shell=bash

# shellcheck disable=SC2034  # used by the scripts that source this
packages_build="gcc cmake ninja-build pkg-config libsundials-dev libhdf5-dev libudunits2-dev
libfyaml-dev libcmocka-dev nettle-dev libgsl-dev libdeflate-dev zlib1g-dev libjs-dygraphs"
# shellcheck disable=SC2034
packages_check="g++ clang-format-14 clang-tidy-14 python3-xarray python3-h5netcdf
python3-matplotlib hdf5-tools netcdf-bin"
# To look at report pages as a reader would; a check goes on without them.
# shellcheck disable=SC2034
packages_pages="chromium nodejs npm poppler-utils"
# To run a study on a cluster of one node; a check goes on without them.
# shellcheck disable=SC2034
packages_cluster="slurm-wlm munge"

# The solvers that a bench compares with; it goes on without them.
# shellcheck disable=SC2034
packages_bench="python3-scipy libsuitesparse-dev"

# True if the thing a package brings can be used, whoever installed it.
package_works() {
    case $1 in
        gcc) command -v cc ;;
        g++) command -v c++ ;;
        ninja-build) command -v ninja ;;
        nodejs) command -v node ;;
        poppler-utils) command -v pdftotext ;;
        chromium | npm | cmake | pkg-config | clang-format-14 | clang-tidy-14) command -v "$1" ;;
        libfyaml-dev) pkg-config --exists libfyaml ;;
        libcmocka-dev) pkg-config --exists cmocka ;;
        libgsl-dev) pkg-config --exists gsl ;;
        libdeflate-dev) pkg-config --exists libdeflate ;;
        nettle-dev) pkg-config --exists nettle ;;
        *) dpkg-query --show --showformat='${Status}\n' "$1" | grep -q 'install ok installed' ;;
    esac >/dev/null 2>&1
}

# install_packages NAME...: installs the missing ones with apt-get, or says what to install and
# stops where there is no apt-get.
install_packages() {
    local name missing=()
    if ! command -v apt-get >/dev/null; then
        for name in cmake ninja pkg-config cc; do
            command -v "$name" >/dev/null || missing+=("$name")
        done
        if [ ${#missing[@]} -gt 0 ]; then
            echo "missing: ${missing[*]}. This machine has no apt-get; please install the equivalents of" >&2
            echo "  $*" >&2
            exit 1
        fi
        return # CMake names what else is missing
    fi
    for name in "$@"; do
        package_works "$name" || missing+=("$name")
    done
    if [ ${#missing[@]} -eq 0 ]; then
        return
    fi
    local root=()
    if [ "$(id -u)" -ne 0 ]; then
        root=(sudo)
    fi
    echo "installing ${missing[*]}"
    "${root[@]}" apt-get update -qq
    "${root[@]}" env DEBIAN_FRONTEND=noninteractive \
        apt-get install -y -qq --no-install-recommends "${missing[@]}" >/dev/null
}

# install_wanted NAME...: as install_packages, but goes on, saying so, without what cannot be had.
install_wanted() {
    (install_packages "$@") || echo "could not install all of: $*"
}
