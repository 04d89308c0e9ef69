#include "serve/certificate.h"

#include <fcntl.h>
#include <openssl/err.h>
#include <openssl/evp.h>
#include <openssl/pem.h>
#include <openssl/x509v3.h>
#include <sys/stat.h>
#include <unistd.h>

#include <array>

#include "base/read_file.h"
#include "serve/draft_store.h"

namespace risetrace::serve {
namespace {

namespace fs = std::filesystem;

template <auto free_it>
struct Free {
  template <typename Thing>
  void operator()(Thing* thing) const {
    free_it(thing);
  }
};
using Key = std::unique_ptr<EVP_PKEY, Free<EVP_PKEY_free>>;
using Certificate = std::unique_ptr<X509, Free<X509_free>>;
using Memory = std::unique_ptr<BIO, Free<BIO_free>>;
using Extension = std::unique_ptr<X509_EXTENSION, Free<X509_EXTENSION_free>>;

constexpr long lasts_s = 730L * 24 * 3600;

struct Pair {
  Key key;
  Certificate certificate;
};

Error cannot_make(const char* what) {
  return {Fault::defect, std::string("the certificate cannot be made: ") + what, "leave --lan out"};
}

bool add_extension(X509* certificate, int what, const std::string& value) {
  const Extension extension(X509V3_EXT_conf_nid(nullptr, nullptr, what, value.c_str()));
  return extension && X509_add_ext(certificate, extension.get(), -1) == 1;
}

bool name_it(X509* certificate) {
  X509_NAME* name = X509_get_subject_name(certificate);
  const auto* text = reinterpret_cast<const unsigned char*>("risetrace on this machine");  // NOLINT: OpenSSL's bytes
  return X509_NAME_add_entry_by_txt(name, "CN", MBSTRING_ASC, text, -1, -1, 0) == 1 &&
         X509_set_issuer_name(certificate, name) == 1;
}

bool number_it(X509* certificate) {
  std::unique_ptr<BIGNUM, Free<BN_free>> number(BN_new());
  return number && BN_rand(number.get(), 127, BN_RAND_TOP_ONE, BN_RAND_BOTTOM_ANY) == 1 &&
         BN_to_ASN1_INTEGER(number.get(), X509_get_serialNumber(certificate)) != nullptr;
}

Result<Pair> make_pair(const std::vector<std::string>& addresses) {
  Pair pair{Key(EVP_EC_gen("P-256")), Certificate(X509_new())};
  X509* certificate = pair.certificate.get();
  if (!pair.key || certificate == nullptr) return cannot_make("no key");
  std::string names = "DNS:localhost,IP:127.0.0.1";
  for (const std::string& address : addresses) names += ",IP:" + address;
  const bool made = X509_set_version(certificate, 2) == 1 && number_it(certificate) &&
                    X509_gmtime_adj(X509_getm_notBefore(certificate), -3600) != nullptr &&
                    X509_gmtime_adj(X509_getm_notAfter(certificate), lasts_s) != nullptr &&
                    X509_set_pubkey(certificate, pair.key.get()) == 1 && name_it(certificate) &&
                    add_extension(certificate, NID_basic_constraints, "critical,CA:FALSE") &&
                    add_extension(certificate, NID_key_usage, "critical,digitalSignature") &&
                    add_extension(certificate, NID_ext_key_usage, "serverAuth") &&
                    add_extension(certificate, NID_subject_alt_name, names) &&
                    X509_sign(certificate, pair.key.get(), EVP_sha256()) > 0;
  if (!made) return cannot_make("a field of it cannot be set");
  return pair;
}

std::string text_of(const Pair& pair) {
  const Memory memory(BIO_new(BIO_s_mem()));
  PEM_write_bio_PrivateKey(memory.get(), pair.key.get(), nullptr, nullptr, 0, nullptr, nullptr);
  PEM_write_bio_X509(memory.get(), pair.certificate.get());
  char* bytes = nullptr;
  const long count = BIO_get_mem_data(memory.get(), &bytes);
  return {bytes, static_cast<std::size_t>(count)};
}

// Empty where the text holds none, or one that is over.
std::optional<Pair> read_pair(const std::string& text) {
  const auto open = [&] { return Memory(BIO_new_mem_buf(text.data(), static_cast<int>(text.size()))); };
  const Memory for_key = open();
  const Memory for_certificate = open();
  Pair pair{Key(PEM_read_bio_PrivateKey(for_key.get(), nullptr, nullptr, nullptr)),
            Certificate(PEM_read_bio_X509(for_certificate.get(), nullptr, nullptr, nullptr))};
  ERR_clear_error();
  if (!pair.key || !pair.certificate) return std::nullopt;
  if (X509_cmp_current_time(X509_get0_notAfter(pair.certificate.get())) <= 0) return std::nullopt;
  if (X509_check_private_key(pair.certificate.get(), pair.key.get()) != 1) return std::nullopt;
  return pair;
}

std::string fingerprint_of(X509* certificate) {
  std::array<unsigned char, EVP_MAX_MD_SIZE> sum{};
  unsigned int count = 0;
  X509_digest(certificate, EVP_sha256(), sum.data(), &count);
  std::string text;
  for (unsigned int i = 0; i < count; ++i) {
    if (i > 0) text += ':';
    text += "0123456789ABCDEF"[sum.at(i) >> 4U];
    text += "0123456789ABCDEF"[sum.at(i) & 15U];
  }
  return text;
}

Result<Pair> read_or_make(const fs::path& file, const std::vector<std::string>& addresses) {
  if (const auto text = read_file(file, 1 << 16)) {
    if (auto pair = read_pair(*text)) return *std::move(pair);
  }
  auto pair = make_pair(addresses);
  if (!pair) return pair;
  try {
    write_whole(file, text_of(*pair));
  } catch (const Refusal& refusal) {
    return Error{Fault::cannot_write, file.string() + ": " + refusal.why, refusal.what_to_do};
  }
  return pair;
}

}  // namespace

Result<Tls> open_tls(const fs::path& file, const std::vector<std::string>& addresses) {
  const auto pair = read_or_make(file, addresses);
  if (!pair) return pair.error();
  ::chmod(file.c_str(), 0600);
  Tls tls{std::unique_ptr<SSL_CTX, FreeContext>(SSL_CTX_new(TLS_server_method())),
          fingerprint_of(pair->certificate.get())};
  SSL_CTX* context = tls.context.get();
  const bool set = context != nullptr && SSL_CTX_set_min_proto_version(context, TLS1_2_VERSION) == 1 &&
                   SSL_CTX_use_certificate(context, pair->certificate.get()) == 1 &&
                   SSL_CTX_use_PrivateKey(context, pair->key.get()) == 1;
  if (!set) return cannot_make("OpenSSL does not take it");
  SSL_CTX_set_options(context, SSL_OP_NO_RENEGOTIATION | SSL_OP_NO_COMPRESSION);
  SSL_CTX_set_mode(context, SSL_MODE_ENABLE_PARTIAL_WRITE | SSL_MODE_ACCEPT_MOVING_WRITE_BUFFER);
  return tls;
}

}  // namespace risetrace::serve
