// TLS for those on the same network: a certificate that the machine makes and signs itself.
#pragma once

#include <openssl/ssl.h>

#include <filesystem>
#include <memory>
#include <string>
#include <vector>

#include "base/result.h"

namespace risetrace::serve {

struct FreeContext {
  void operator()(SSL_CTX* context) const { SSL_CTX_free(context); }
};

struct Tls {
  std::unique_ptr<SSL_CTX, FreeContext> context;
  std::string fingerprint;  // SHA-256 of the certificate, "AB:CD:.."
};

// Key and certificate from `file`, made there (0600; ECDSA on P-256, two years) where there are none or they are over.
// `addresses`: IP addresses it is also made for. Fault cannot_write.
Result<Tls> open_tls(const std::filesystem::path& file, const std::vector<std::string>& addresses);

}  // namespace risetrace::serve
