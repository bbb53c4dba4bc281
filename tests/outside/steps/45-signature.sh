#!/usr/bin/env bash
# A signed package, checked by stock ssh-keygen [ssh-keygen(1), -Y verify]: accepted as it is, refused when a list was changed.
set -euo pipefail
if ! command -v ssh-keygen >/dev/null; then
  apt-get update -qq && apt-get install -y -qq --no-install-recommends openssh-client >/dev/null
fi
day=2026-11-25
work="$OUT/signed"
mkdir -p "$work"
for kind in ed25519 ecdsa; do
  ssh-keygen -q -t "$kind" -N "" -C "giver" -f "$work/$kind"
  echo "giver $(cut -d' ' -f1,2 "$work/$kind.pub")" >"$work/$kind.signers"
  "$KITHBAG" pack samples/trevanick-pair --for family --into "$work/$kind-packed" --sign "$work/$kind" --as-of "$day" --quiet
  package="$work/$kind-packed/trevanick-pair-family-$day"
  receipt="$package-receipt.txt"
  verify() { ssh-keygen -Y verify -q -f "$work/$kind.signers" -I giver -n file -s "$1.sig" <"$2"; }
  verify "$package/manifest-sha256.txt" "$package/manifest-sha256.txt"
  verify "$package/manifest-sha512.txt" "$package/manifest-sha512.txt"
  verify "$receipt" "$receipt"
  "$KITHBAG" audit "$package" --quiet
  for list in "$package/manifest-sha256.txt" "$package/manifest-sha512.txt" "$receipt"; do
    sed '1s/./x/' "$list" >"$work/changed"
    if cmp -s "$list" "$work/changed"; then echo "the change changed nothing" >&2; exit 1; fi
    if verify "$list" "$work/changed" 2>/dev/null; then echo "accepted although changed: $list" >&2; exit 1; fi
  done
  # Stock signatures are taken by audit too.
  rm "$package/manifest-sha256.txt.sig"
  ssh-keygen -q -Y sign -f "$work/$kind" -n file "$package/manifest-sha256.txt" 2>/dev/null
  "$KITHBAG" audit "$package" --json >"$work/audit.json" || true
  grep -q '"code": *"signed"' "$work/audit.json"
  echo "$kind: three signatures accepted, three changed lists refused, a stock signature read"
done
