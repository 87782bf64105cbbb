#pragma once
#include <memory>
#include <string>

#include "adapters/picture_protocol.hpp"
#include "mendtone/base/result.hpp"

namespace mendtone::pictures {

/// A confined process of the helper, for one picture or one comparison. What it does wrong costs
/// that picture and nothing else: its end is a refusal that names the picture and says how it came.
class Session {
 public:
  /// Starts the helper where it does not run yet. `picture`: what a refusal names.
  static Result<std::unique_ptr<Session>> start(const std::string& picture);
  ~Session();
  Session(const Session&) = delete;
  Session& operator=(const Session&) = delete;

  /// What came back, to be unpacked. Refuses what the library refuses.
  Result<std::string> ask(const Packer& request, int descriptor = -1);
  /// Memory that both see, at least so many bytes; what stood in it is lost when it grows.
  Result<unsigned char*> memory(std::size_t bytes);

 private:
  Session(std::string picture, int socket, std::int32_t process);
  Error gone() const;

  std::string picture_;
  int socket_;
  std::int32_t process_;
  unsigned char* memory_ = nullptr;
  std::size_t memory_bytes_ = 0;
};

/// A request's beginning.
Packer asking(Ask ask);

}  // namespace mendtone::pictures
