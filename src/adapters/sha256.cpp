#include "mendtone/adapters/sha256.hpp"

#include <openssl/evp.h>

#include <cerrno>
#include <cstring>
#include <memory>
#include <new>
#include <vector>

#include "adapters/open_files.hpp"

namespace mendtone {
namespace {

class Hash {
 public:
  Hash() : context_(EVP_MD_CTX_new(), EVP_MD_CTX_free) {
    if (!context_ || EVP_DigestInit_ex(context_.get(), EVP_sha256(), nullptr) != 1)
      throw std::bad_alloc();
  }
  void add(std::string_view bytes) { EVP_DigestUpdate(context_.get(), bytes.data(), bytes.size()); }
  std::string hexadecimal() {
    unsigned char digest[EVP_MAX_MD_SIZE];
    unsigned size = 0;
    EVP_DigestFinal_ex(context_.get(), digest, &size);
    constexpr char digits[] = "0123456789abcdef";
    std::string text;
    for (unsigned i = 0; i < size; ++i) {
      text += digits[digest[i] >> 4];
      text += digits[digest[i] & 15];
    }
    return text;
  }

 private:
  std::unique_ptr<EVP_MD_CTX, void (*)(EVP_MD_CTX*)> context_;
};

}  // namespace

std::string sha256(std::string_view bytes) {
  Hash hash;
  hash.add(bytes);
  return hash.hexadecimal();
}

namespace {

Result<std::string> hash_of(const RawFile& file, const std::string& path,
                            const std::function<Result<void>()>& going) {
  Hash hash;
  std::vector<char> piece(1 << 20);
  for (std::size_t done = 0;;) {
    const ssize_t got = file.read_at(piece.data(), piece.size(), done);
    if (got < 0)
      return outside_world(std::string("cannot read the file: ") + std::strerror(errno), path);
    if (got == 0) return hash.hexadecimal();
    hash.add({piece.data(), static_cast<std::size_t>(got)});
    done += static_cast<std::size_t>(got);
    if (auto on = going ? going() : Result<void>(); !on) return on.error();
  }
}

}  // namespace

Result<std::string> sha256_of_file(const std::string& path,
                                   const std::function<Result<void>()>& going) {
  auto file = RawFile::open(path);
  if (!file) return file.error();
  return hash_of(*file, path, going);
}

Result<std::string> sha256_of_file_itself(const std::string& path) {
  auto file = RawFile::open(path, RawFile::Links::refuse);
  if (!file) return file.error();
  return hash_of(*file, path, {});
}

}  // namespace mendtone
