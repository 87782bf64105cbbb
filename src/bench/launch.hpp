#pragma once
#include <string>

#include "mendtone/base/result.hpp"

// What happens once, when the bench is opened and closed.
namespace mendtone::bench {

/// 43 random characters that need no encoding in an address: 256 bits from the system.
Result<std::string> new_secret();

/// Holds back SIGINT, SIGTERM and SIGHUP, for threads that start later too, and ignores SIGPIPE. To
/// be called before anything is printed: a signal that comes just after is then not lost.
/// Returns a descriptor that can be read once one of them came.
Result<int> hold_signals();

/// Whether this machine shows windows.
bool has_screen();

/// Opens the browser at `address` and forgets it: it has a process group of its own, and outlives
/// the program. The address, which holds the secret, is not in the command line that others see:
/// the browser is shown a small file, readable by this user alone, that leads there.
class BrowserStart {
 public:
  BrowserStart() = default;
  ~BrowserStart();
  BrowserStart(const BrowserStart&) = delete;
  BrowserStart& operator=(const BrowserStart&) = delete;
  Result<void> open(const std::string& address);

 private:
  std::string folder_;
  int lock_ = -1;  ///< on the folder, while this program runs
};

/// Takes away what a bench that was killed left in the folder for temporary files: its address
/// stands there. Those of a bench that runs are locked.
void sweep_left_over_folders();

}  // namespace mendtone::bench
